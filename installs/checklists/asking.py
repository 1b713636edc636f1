"""Forms that ask again: what is hardly so is not taken at the first press, and kept at the second.

A fact is always recorded, so nothing is refused for being unlikely: a reading far outside what can be, a
ticket's number for the second time, cylinders of a truck that has not come. The question is said at its field
and goes back with the form, word by word; whoever presses again has confirmed it. Another number is another
question. The phone asks the same in static/installs/entries.js.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from installs.checklists.said import number_fault
from sitecalc.wording import quantity_words, unit_words

AGAIN = "Read it again; if it is so, press once more."


@dataclass(frozen=True)
class Likely:
    """What a reading can be; outside it is asked again. In the unit of the reading."""

    least: float
    most: float
    unit: str = ""
    code: str = ""  # of the item that it is a reading of

    def asks(self, value: float) -> str:
        """ "411 F: it can be 20 to 180 F. ...", or nothing"""
        if self.least <= value <= self.most:
            return ""
        unit = f" {unit_words(self.unit)}" if self.unit else ""
        given = quantity_words(value, self.unit)
        return f"{given}: it can be {self.least:g} to {self.most:g}{unit}. {AGAIN}"


class AskingForm(forms.Form):
    """A form with questions. ``confirmed`` are those that were pressed through, to be kept with the fact."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.confirmed: list[str] = []
        self._asked: list[str] = []

    def ask(self, field: str, words: str) -> None:
        """Say it at its field, unless this very question was answered by a second press."""
        if not words:
            return
        if words in self._answered():
            self.confirmed.append(words)
        else:
            self.add_error(field if field in self.fields else None, words)
            self._asked.append(words)

    def ask_reading(self, field: str, value: float | None, likely: Likely | None) -> None:
        """What cannot be is refused at its field; what is hardly so is asked again."""
        if value is None or likely is None:
            return
        if fault := number_fault(likely.code, value, likely.unit):
            self.add_error(field, fault)
        else:
            self.ask(field, likely.asks(value))

    def _answered(self) -> list[str]:
        name = self.add_prefix("confirm")
        every = self.data.getlist(name) if hasattr(self.data, "getlist") else self.data.get(name, [])
        return [every] if isinstance(every, str) else list(every)

    @property
    def carried(self) -> SafeString:
        """What the next press confirms, for the form to carry."""
        name = self.add_prefix("confirm")
        every = dict.fromkeys((*self.confirmed, *self._asked))
        return format_html_join(
            "", '<input type="hidden" name="{}" value="{}">', ((name, words) for words in every)
        )

    @property
    def kept(self) -> dict[str, Any]:
        """For the data of the entry: what was asked and confirmed."""
        return {"confirmed": self.confirmed} if self.confirmed else {}
