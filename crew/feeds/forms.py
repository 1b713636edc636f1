from __future__ import annotations

from typing import Any

from django import forms

from crew.plan.forms import RowField
from crew.plan.models import Crew
from installs.equipment.models import Crane
from installs.people.models import User


class FeedForm(forms.Form):
    """Whose days: exactly one of three."""

    person = RowField(User.objects.current(), required=False, empty_label="-")
    crew = RowField(Crew.objects.filter(archived_on=None), required=False, empty_label="-")
    crane = RowField(Crane.objects.filter(archived_on=None), required=False, empty_label="-")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        given = [name for name in self.fields if cleaned.get(name)]
        if not self.errors and not given:
            self.add_error("person", "Choose a person, a crew or a crane.")
        for name in given[1:]:
            self.add_error(name, "One at a time: a person, a crew or a crane.")
        return cleaned

    @property
    def of(self) -> User | Crew | Crane:
        chosen: User | Crew | Crane = next(row for row in self.cleaned_data.values() if row)
        return chosen
