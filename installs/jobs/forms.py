from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.jobs.models import DeviationAnswer, Job
from installs.people.models import Role, User


class JobForm(forms.ModelForm):
    class Meta:
        model = Job
        fields = [
            "number",
            "owner",
            "place",
            "county",
            "state",
            "address",
            "parcel",
            "zone",
            "description",
            "authority",
            "authority_inspects_footing",
            "authority_asks_electrical_permit",
            "utility",
            "engineer",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["engineer"].queryset = User.objects.current().filter(role=Role.ENGINEER)

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"].strip()
        if not re.fullmatch(r"[0-9]{4}-[0-9]{3}", number):
            raise ValidationError("Year and number, like 2031-014.")
        return number

    def clean_state(self) -> str:
        state: str = self.cleaned_data["state"].strip().upper()
        if not re.fullmatch(r"[A-Z]{2}", state):
            raise ValidationError("Two letters.")
        return state


class AnswerForm(forms.ModelForm):
    """Accept, repair or remove. Where the engineer decides, the office gives name and letter."""

    letter = forms.FileField(label="The engineer's letter (PDF or photo)", required=False)

    class Meta:
        model = DeviationAnswer
        fields = ["decision", "reason", "engineer"]

    def __init__(self, *args: Any, by: User, engineer_decides: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not engineer_decides or by.role == Role.ENGINEER:
            del self.fields["engineer"], self.fields["letter"]
        else:
            self.fields["engineer"].queryset = User.objects.current().filter(role=Role.ENGINEER)


class MemberForm(forms.Form):
    person = forms.ModelChoiceField(User.objects.current().filter(is_active=True))
