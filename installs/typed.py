"""What the type checker knows of Django's classes and Django does not.

``class PersonForm(RowForm[User])`` says whose row a form keeps. Only the type checker reads the argument;
Django's own class takes none, and django-stubs, which would change that, is not there when the program runs.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, TypeVar, cast

from django import forms
from django.db import models

if TYPE_CHECKING:
    from django.db.models import FloatField as FloatColumn
    from django.forms import ModelChoiceField as ChoiceOfRow
    from django.forms import ModelMultipleChoiceField as ChoiceOfRows

    Row = TypeVar("Row", bound=models.Model)

    class RowForm(forms.ModelForm[Row]):
        stale: Any

else:

    class _Plain:
        def __class_getitem__(cls, of: Any) -> type:
            return cls

    class RowForm(_Plain, forms.ModelForm):
        # of a form that comes back from an old page: installs/sent/rows.py
        stale = None

    class ChoiceOfRow(_Plain, forms.ModelChoiceField):
        pass

    class ChoiceOfRows(_Plain, forms.ModelMultipleChoiceField):
        pass

    class FloatColumn(_Plain, models.FloatField):
        pass


Kind = TypeVar("Kind", bound=forms.Field)

__all__ = [
    "ChoiceOfRow",
    "ChoiceOfRows",
    "FloatColumn",
    "RowForm",
    "field_as",
    "offer",
    "offer_rows",
    "offered",
]


def field_as(form: forms.BaseForm, name: str, kind: type[Kind]) -> Kind:
    """The form's field of this name, which is of this kind. TypeError if it is of another."""
    field = form.fields[name]
    if not isinstance(field, kind):
        raise TypeError(f"{name} of {type(form).__name__} is a {type(field).__name__}, no {kind.__name__}")
    return field


def offer(form: forms.BaseForm, name: str, choices: Iterable[tuple[str, str]]) -> None:
    """What the form's field of this name offers: (value, words)."""
    field_as(form, name, forms.ChoiceField).choices = list(choices)


def offer_rows(form: forms.BaseForm, name: str, rows: models.QuerySet[Any]) -> None:
    """Which rows the form's field of this name offers."""
    field_as(form, name, forms.ModelChoiceField).queryset = rows


def offered(form: forms.BaseForm, name: str) -> list[tuple[str, str]]:
    """What the form's field of this name offers now: (value, words)."""
    return list(cast("Iterable[tuple[str, str]]", field_as(form, name, forms.ChoiceField).choices))
