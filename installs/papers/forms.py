from __future__ import annotations

from typing import Any

from django import forms

from installs.people.models import Role, User
from installs.typed import offer_rows


class SealForm(forms.Form):
    """The PDF that came back from the engineer with the seal on it."""

    file = forms.FileField(label="sealed PDF", widget=forms.ClearableFileInput(attrs={"accept": ".pdf"}))
    engineer = forms.ModelChoiceField(User.objects.none(), label="sealed by")
    sealed_on = forms.DateField(label="date of the seal", widget=forms.DateInput(attrs={"type": "date"}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "engineer", User.objects.current().filter(role=Role.ENGINEER))
