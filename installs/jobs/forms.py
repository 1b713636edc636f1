from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.jobs.models import DeviationAnswer, Job
from installs.jobs.services import taken_by
from installs.people.models import Role, User
from installs.typed import RowForm, offer_rows


class JobForm(RowForm[Job]):
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
        offer_rows(self, "engineer", User.objects.current().filter(role=Role.ENGINEER))

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"].strip()
        if not re.fullmatch(r"[0-9]{4}-[0-9]{3}", number):
            raise ValidationError("Year and number, like 2031-014.")
        if words := taken_by(number, self.instance if self.instance.pk else None):
            raise ValidationError(words)
        return number

    def clean_state(self) -> str:
        state: str = self.cleaned_data["state"].strip().upper()
        if not re.fullmatch(r"[A-Z]{2}", state):
            raise ValidationError("Two letters.")
        return state


class AnswerForm(RowForm[DeviationAnswer]):
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
            offer_rows(self, "engineer", User.objects.current().filter(role=Role.ENGINEER))


class MemberForm(forms.Form):
    person = forms.ModelChoiceField(User.objects.current().filter(is_active=True), empty_label="choose")


class ConfirmForm(forms.Form):
    """The engineer's word that a void release stands; the office records it from the engineer's letter."""

    engineer = forms.ModelChoiceField(User.objects.none(), label="Engineer", empty_label="choose")
    license = forms.CharField(label="License, as the letter says it", max_length=60)
    written_on = forms.DateField(
        label="Date of the letter", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    reason = forms.CharField(
        label="Why it stands, the engineer's statement",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    letter = forms.FileField(
        label="The engineer's letter (PDF or photo)",
        required=False,
        help_text="It names the release and what is in force now. Choose it again after a fault was mended.",
    )

    def __init__(self, *args: Any, by: User, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        engineers = User.objects.current().filter(role=Role.ENGINEER)
        offer_rows(self, "engineer", engineers)
        self.fields["engineer"].initial = job.engineer_id
        if by.role == Role.ENGINEER:  # whose own word it is, of today
            for name in ("engineer", "written_on", "letter"):
                del self.fields[name]
            self.fields["license"].label, self.fields["license"].required = "License", False
            self.fields["reason"].label = "Why it stands"
