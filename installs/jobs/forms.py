from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from installs.jobs.models import DeviationAnswer, Job, JobNumber
from installs.jobs.services import taken_by
from installs.people.models import Role, User
from installs.typed import RowForm, offer, offer_rows

# what fields of a job offer beside what is typed: registered at start by who knows (installs/apps.py)
OFFERED: dict[str, Callable[[], list[str]]] = {}


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
        self.fields["number"].help_text = "Year and number, like 2031-014."
        if self.instance.pk is None:
            self._propose()
        for name in OFFERED:
            self.fields[name].widget.attrs["list"] = f"known-{name}"
        self.known = {f"known-{name}": known() for name, known in OFFERED.items()}

    def _propose(self) -> None:
        """The next free number of the year, and what the job before this one had."""
        year = timezone.localdate().year
        taken = JobNumber.objects.filter(number__startswith=f"{year}-").values_list("number", flat=True)
        count = max((int(number[5:]) for number in taken if number[5:].isdecimal()), default=0) + 1
        if count < 1000:
            self.initial.setdefault("number", f"{year}-{count:03}")
        before = Job.objects.order_by("-created_at", "-pk").first()
        for name in ("state", "zone", "engineer") if before else ():
            value = getattr(before, name)
            self.initial[name] = value.pk if isinstance(value, User) else value

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

    OWN_WORD = True  # an engineer who signs in gives it without a letter
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
        if by.role == Role.ENGINEER and self.OWN_WORD:  # whose own word it is, of today
            for name in ("engineer", "written_on", "letter"):
                del self.fields[name]
            self.fields["license"].label, self.fields["license"].required = "License", False
            self.fields["reason"].label = "Why it stands"


class AcceptanceLetterForm(ConfirmForm):
    """An engineer's letter that accepts open checks of a draft, as the office records it."""

    OWN_WORD = False
    checks = forms.MultipleChoiceField(
        label="Checks that the letter accepts", widget=forms.CheckboxSelectMultiple, choices=()
    )
    on_record = forms.ChoiceField(label="Or a letter of this job that is on record", required=False)
    field_order = ["checks", "engineer", "license", "written_on", "reason", "letter", "on_record"]

    def __init__(
        self, *args: Any, checks: list[tuple[str, str]], on_record: list[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "checks", checks)
        offer(self, "on_record", [("", "none: a new one is chosen above"), *on_record])
        if not on_record:
            del self.fields["on_record"]
        self.fields["reason"].label = "Why they are accepted, in the engineer's words"
        letter = self.fields["letter"]
        letter.help_text = (
            "It names the job, the part and the checks. Its date is not before the draft was changed last. "
            "Choose it again after a fault was mended."
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not cleaned.get("letter") and not cleaned.get("on_record"):
            self.add_error("letter", "The letter is required: choose its file.")
        return cleaned
