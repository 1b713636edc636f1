"""One entry as the phone sends it from a page; the API reads the same fields from JSON."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.checklists.asking import AGAIN, AskingForm
from installs.checklists.library import likely
from installs.checklists.limits import Limit, own
from installs.checklists.models import Item, ItemKind
from installs.checklists.standing import TRUCK, named
from installs.measures import QuantityInput
from installs.typed import field_as


class EntryForm(AskingForm):
    """Fields of one entry, with what its item asks. ``second_look`` confirms a reading out of tolerance."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    corrects = forms.UUIDField(required=False, widget=forms.HiddenInput)
    subject = forms.CharField(required=False, max_length=60)
    number = QuantityInput(required=False)
    text = forms.CharField(required=False, max_length=1000)
    photo = forms.FileField(required=False)
    signed = forms.CharField(required=False, max_length=80)
    cannot = forms.CharField(required=False, max_length=300)
    second_look = forms.BooleanField(required=False)

    def __init__(
        self, *args: Any, item: Item, names: tuple[str, ...] = (), limit: Limit | None = None, **kwargs: Any
    ) -> None:
        kwargs.setdefault("initial", {"uuid": uuid.uuid4()})
        super().__init__(*args, **kwargs)
        self.item, self.names, self.limit = item, names, limit or own(item)
        field_as(self, "number", QuantityInput).unit = item.unit if item.unit in ("ft", "in") else ""
        if item.per:
            self.fields["subject"].label = item.per.capitalize()
        self.out_of_tolerance = False

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("cannot"):
            return cleaned
        kind = self.item.kind
        if kind == ItemKind.READING and cleaned.get("number") is None and "number" not in self.errors:
            self.add_error("number", "Enter the reading, or say why it cannot be taken.")
        if kind == ItemKind.SIGNATURE and not cleaned.get("signed") and not cleaned.get("photo"):
            self.add_error("signed", "Sign, or photograph the signed card.")
        if kind == ItemKind.PHOTO and not cleaned.get("photo"):
            self.add_error("photo", "Take a photo, or say why not.")
        if kind == ItemKind.DOCUMENT and not cleaned.get("text") and not cleaned.get("photo"):
            self.add_error("text", "Give its number, or photograph it.")
        if kind == ItemKind.DOCUMENT and self.limit.another(cleaned.get("text") or ""):
            self.ask("text", another(self.limit, cleaned["text"]))
        if self.item.per and not cleaned.get("subject"):
            self.add_error("subject", f"Which {self.item.per}?")
        elif self.item.per == TRUCK:
            self.ask("subject", not_on_record(cleaned["subject"], self.names))
        self.ask_reading("number", cleaned.get("number"), likely(self.item.code))
        self._tolerance(cleaned)
        return cleaned

    def _tolerance(self, cleaned: dict[str, Any]) -> None:
        number = cleaned.get("number")
        if number is None or not self.limit.outside(number):
            return
        self.out_of_tolerance = True
        if not cleaned.get("second_look") or not cleaned.get("text"):
            self.add_error(
                "text",
                ValidationError(f"{over(self.limit, number)} Check it again. If it is right, say why."),
            )


def another(limit: Limit, words: str) -> str:
    """ "T-9 is not T-55, which the plan is for: stop. ..." """
    return f"{words} is {limit.stop_named}. {limit.words} {AGAIN}"


def over(limit: Limit, number: float) -> str:
    """ "Over the card: stop. Accepted 11 mph gust or less, by lift plan A." """
    stop = limit.stop(number)
    return f"{stop[0].upper()}{stop[1:]}. {limit.words}" if limit.plan else limit.words


def not_on_record(subject: str, trucks: tuple[str, ...]) -> str:
    """A truck of which no ticket is on record; nothing where none is: the first may come without one."""
    if not trucks or named(subject, TRUCK) in {named(truck, TRUCK) for truck in trucks}:
        return ""
    return f"There is no ticket of {subject}; on record: {', '.join(trucks)}. {AGAIN}"
