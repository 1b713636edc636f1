from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from installs.people.models import Certificate, Firm, Role, User, is_last_of_the_office
from installs.typed import RowForm

LEAST_OF_ITS_OWN = 8  # characters of a password beside such words


class SignInForm(forms.Form):
    username = forms.CharField(label="Sign-in name", max_length=40)
    password = forms.CharField(label="Password", widget=forms.PasswordInput, max_length=200)


def as_sign_in_name(typed: str) -> str:
    """As it is kept, or ValidationError."""
    name = typed.strip().lower()
    if not name.replace(".", "").replace("-", "").isalnum() or not name.isascii():
        raise ValidationError("Letters a to z, digits, point and hyphen only.")
    return name


def refuse_own_words(password: str, *words: str) -> None:
    """ValidationError for a password that is mostly the person's name, the firm's or ours."""
    firm = Firm.objects.first()
    known = {"mastwright", *(w.lower() for each in (*words, firm.name if firm else "") for w in each.split())}
    rest = password.lower()
    for word in sorted((w for w in known if len(w) > 2), key=len, reverse=True):
        rest = rest.replace(word, "")
    if len(rest) < LEAST_OF_ITS_OWN:
        raise ValidationError("That is mostly the name of the person, the firm or this program.")


class PersonForm(RowForm[User]):
    password = forms.CharField(
        label="Password, 12+ characters. Blank: no sign-in (new), unchanged (existing)",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        required=False,
        max_length=200,
    )

    class Meta:
        model = User
        fields = ["full_name", "initials", "username", "role", "firm_name", "phone"]
        labels = {"firm_name": "Company (blank = ours)"}

    def clean_username(self) -> str:
        return as_sign_in_name(self.cleaned_data["username"])

    def clean_initials(self) -> str:
        initials: str = self.cleaned_data["initials"]
        return initials.strip().upper()

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        if password:
            if self.instance.archived_on:
                raise ValidationError("This person is archived and does not sign in.")
            named = (self.cleaned_data.get(name, "") for name in ("full_name", "username", "firm_name"))
            refuse_own_words(password, *named)
            validate_password(password, self.instance)
        return password

    def clean_role(self) -> str:
        role: str = self.cleaned_data["role"]
        if role != Role.OFFICE and is_last_of_the_office(self.instance):
            raise ValidationError("The last person of the office who signs in: make another one first.")
        return role


class FirmForm(RowForm[Firm]):
    class Meta:
        model = Firm
        fields = [
            "name",
            "town",
            "license_number",
            "phone",
            "stop_word",
            "critical_percent",
            "most_percent",
        ]
        labels = {
            "critical_percent": "Critical lift at, percent of chart",
            "most_percent": "Stop limit, percent of chart",
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        critical, most = cleaned.get("critical_percent"), cleaned.get("most_percent")
        if critical is not None and most is not None and most < critical:
            self.add_error("most_percent", "No lift above a limit that is under the critical lift's.")
        return cleaned


class CertificateForm(RowForm[Certificate]):
    class Meta:
        model = Certificate
        fields = ["kind", "number", "issued_on", "expires_on"]
        help_texts = {"number": "As it stands on the card. Without it the card counts nowhere."}
        widgets = {
            "issued_on": forms.DateInput(attrs={"type": "date"}),
            "expires_on": forms.DateInput(attrs={"type": "date"}),
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        issued, expires = cleaned.get("issued_on"), cleaned.get("expires_on")
        if issued and expires and expires < issued:
            self.add_error("expires_on", "This is before the day of issue.")
        return cleaned
