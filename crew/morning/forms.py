"""What of the season schedule is asked for: from which day, over how long."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms

from crew.morning.season import OVER, Window, window
from crew.plan.forms import DATE, sane_date


class ScheduleForm(forms.Form):
    """Always bound: nothing asked is the usual. What cannot be read is said at its field, and left."""

    first = forms.DateField(label="From", widget=DATE, required=False)
    over = forms.ChoiceField(label="Schedule over", choices=[(key, key) for key in OVER], required=False)

    def clean_first(self) -> date | None:
        on: date | None = self.cleaned_data["first"]
        return sane_date(on) if on else None

    @property
    def asked(self) -> dict[str, str]:
        """What was asked and could be read, as an address carries it."""
        return {
            name: str(self.data[name])
            for name in self.fields
            if self.data.get(name) and name not in self.errors
        }

    @property
    def more(self) -> str:
        """Behind another word of an address."""
        return f"&{urlencode(self.asked)}" if self.asked else ""

    @property
    def key(self) -> tuple[tuple[str, str], ...]:
        """What a page that is kept was asked."""
        return tuple(sorted(self.asked.items()))

    def read(self, name: str) -> Any:
        """The value of a field; None where nothing was asked, or nothing that could be read."""
        return None if name in self.errors else self.cleaned_data.get(name) or None

    def window(self, today: date) -> Window:
        return window(today, self.read("first"), self.read("over") or "")
