from __future__ import annotations

from typing import Any

from django import forms

from installs.papers.models import Paper
from installs.papers.pages import sheets_of
from installs.people.models import Role, User
from installs.typed import offer, offer_rows


class SealForm(forms.Form):
    """The PDF that came back from the engineer with the seal on it."""

    file = forms.FileField(label="sealed PDF", widget=forms.ClearableFileInput(attrs={"accept": ".pdf"}))
    engineer = forms.ModelChoiceField(User.objects.none(), label="sealed by")
    sealed_on = forms.DateField(label="date of the seal", widget=forms.DateInput(attrs={"type": "date"}))

    sheets = forms.MultipleChoiceField(label="sheets that bear the seal", widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, paper: Paper | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = sheets_of(paper.inputs) if paper is not None else []
        offer(self, "sheets", [(number, f"{number} {title}") for number, title in listed])
        offer_rows(self, "engineer", User.objects.current().filter(role=Role.ENGINEER))
