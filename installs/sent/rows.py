"""A row and its form: changed by who read it as it stands, added once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from django.core.exceptions import ValidationError
from django.db import models
from django.http import HttpRequest, QueryDict
from django.http.response import HttpResponseRedirect

from installs.sent import seen
from installs.sent.once import CHANGED, NOT_SAID, once
from installs.sent.seen import Changed, Read, Seen
from installs.typed import RowForm

AnyForm = TypeVar("AnyForm", bound=RowForm[Any], covariant=True)


class Makes(Protocol[AnyForm]):
    """A form of a row, or a function that makes one of it."""

    def __call__(self, data: Any = None, files: Any = None, *, instance: Any = None) -> AnyForm: ...


@dataclass(frozen=True)
class Stale:
    """What a form that comes back from an old page says, and what it is drawn from now."""

    words: str
    changed: list[Changed]
    now: Seen


@dataclass(frozen=True)
class Posted(Generic[AnyForm]):
    """Where a kept form leads; else the form as it comes back, with the answer's status."""

    form: AnyForm
    to: HttpResponseRedirect | None = None
    status: int = 422


class _NotKept(Exception):
    """Ends the transaction, for the form comes back."""


def post_row(
    request: HttpRequest,
    make: Makes[AnyForm],
    *,
    save: Callable[[Any], HttpResponseRedirect],
    row: Callable[[], models.Model] | None = None,
) -> Posted[AnyForm]:
    """Keep a row's form once, if its page showed the row as it stands.

    ``row`` gives the row locked, and is None where one is added; ``save`` writes the valid form and says
    where that leads, or raises ValidationError.
    """
    stands: models.Model | None = None
    form: AnyForm | None = None
    try:
        with once(request) as press:
            stands = row() if row else None
            if stands is not None and not press.read.is_of(seen.of_form(make(instance=stands))):
                raise _NotKept
            form = make(request.POST, request.FILES, instance=stands)
            if not form.is_valid():
                raise _NotKept
            press.to = save(form)
        return Posted(form, press.to)
    except ValidationError as error:
        if form is None and row is None:  # the form was sent before with other words
            form = make(request.POST, request.FILES)
        if form is None:
            raise
        form.add_error(None, error)
    except _NotKept:
        pass
    if form is not None:
        return Posted(form)
    return Posted(_again(request, make, stands), status=409)


def _again(request: HttpRequest, make: Makes[AnyForm], row: models.Model | None) -> AnyForm:
    """The form as typed; fields that nobody touched say what stands now. It can be sent again as it is."""
    shown, read = make(instance=row), Read.of(request.POST)
    now = seen.of_form(shown)
    data: QueryDict = seen.taken_over(request.POST, shown, read, now)
    form = make(data, request.FILES, instance=row)
    form.is_valid()
    words = f"Not saved: {CHANGED if read.told else NOT_SAID}"
    if request.FILES:
        words += " Choose the file again."
    form.stale = Stale(words, read.changed(now, seen.typed_in(shown, data)), now)
    return form
