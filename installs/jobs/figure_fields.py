"""A form field of each kind of figure, from its declaration alone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import Any

from django import forms
from django.utils.text import capfirst

from installs.jobs.rows import RowsField, columns_of
from installs.measures import QuantityInput, WithinRange
from sitecalc.figures import Figure

NOT_KNOWN = [("unknown", "not known"), ("true", "yes"), ("false", "no")]


def field_of(figure: Figure) -> forms.Field:
    """Label, help, range, choices and whether it must be given are the figure's own."""
    common: dict[str, Any] = {
        "label": capfirst(figure.label),
        "help_text": figure.help,
        "required": not figure.optional,
    }
    if figure.is_table:
        return RowsField(
            columns_of(figure.row_class),
            blank_rows=figure.more.get("blank_rows", 2),
            least=figure.more.get("least", 0),
            label=common["label"],
        )
    if figure.choices:
        return _choice(figure, common)
    if figure.kind is bool:
        return _yes_or_no(figure, common)
    if figure.kind is date:
        return forms.DateField(widget=forms.DateInput(attrs={"type": "date"}), **common)
    if figure.kind is time:
        return forms.TimeField(widget=forms.TimeInput(attrs={"type": "time"}), **common)
    if figure.kind is str:
        return forms.CharField(max_length=figure.most, widget=_text(figure), **common)
    return _number(figure, common)


def _choice(figure: Figure, common: dict[str, Any]) -> forms.Field:
    offered = list(figure.choices.items())
    if figure.optional:
        offered = [("", figure.more.get("empty", "---------")), *offered]
    return forms.TypedChoiceField(choices=offered, empty_value="", **common)


def _yes_or_no(figure: Figure, common: dict[str, Any]) -> forms.Field:
    if not figure.optional:
        return forms.BooleanField(**{**common, "required": False})
    widget = forms.NullBooleanSelect()
    widget.choices = NOT_KNOWN
    return forms.NullBooleanField(widget=widget, **common)


def _text(figure: Figure) -> forms.Widget:
    if lines := figure.more.get("lines"):
        return forms.Textarea(attrs={"rows": lines, "cols": figure.more.get("columns", 40)})
    return forms.TextInput()


def _number(figure: Figure, common: dict[str, Any]) -> forms.Field:
    within: list[Callable[[float], None]] = [WithinRange(figure.low, figure.high, figure.counted)]
    if figure.kind is int:
        widget = forms.TextInput(attrs={"inputmode": "numeric", "size": 7})
        return forms.IntegerField(widget=widget, validators=within, **common)
    if figure.more.get("whole"):
        within.append(whole)
    return QuantityInput(unit=figure.unit, validators=within, **common)


def whole(value: float) -> None:
    if value != round(value):
        raise forms.ValidationError(f"{value:g} is not a whole number.")
