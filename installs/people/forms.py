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
    password = forms.CharField(label="Password", widget=forms.PasswordInput, max_length=200, strip=False)


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


def checked_password(password: str, person: User, *words: str) -> str:
    """ValidationError for a password that is short, common or mostly words that people know of the person."""
    validate_password(password, person)
    refuse_own_words(password, *(words or (person.full_name, person.username, person.firm_name)))
    return password


class NewPasswordForm(forms.Form):
    """A person's own new password, typed twice, for nobody sees what is typed."""

    new = forms.CharField(
        label="New password",
        help_text="12 characters or more. A few words that belong to nobody are easiest to type.",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="New password once more",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, *args: Any, person: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_new(self) -> str:
        return checked_password(self.cleaned_data["new"], self.person)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        new, again = cleaned.get("new"), cleaned.get("again")
        if new and again and new != again:
            self.add_error("again", "The two are not the same.")
        return cleaned


def present_password() -> forms.CharField:
    return forms.CharField(
        label="Present password",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class OwnPasswordForm(NewPasswordForm):
    present = present_password()
    field_order = ["present", "new", "again"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("new") and cleaned["new"] == cleaned.get("present"):
            self.add_error("new", "That is the present one.")
        return cleaned


class CodeForm(forms.Form):
    """``sign_in_code``: a name that no page's own form has, for it is posted beside what was typed there."""

    sign_in_code = forms.CharField(
        label="Code of your authenticator, or a recovery code",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "autocapitalize": "none"}),
    )


class SetUpCodesForm(forms.Form):
    present = present_password()
    sign_in_code = forms.CharField(
        label="Code that the authenticator shows now",
        max_length=10,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "numeric"}),
    )


class PersonForm(RowForm[User]):
    """``by``: who fills it in. An engineer's password is never theirs to set, their own is on My sign-in."""

    password = forms.CharField(
        label="First password, 12+ characters. Blank: none (new), unchanged (existing)",
        help_text="Must be changed at the first sign-in. Better: a link, by which they set their own.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        required=False,
        max_length=200,
        strip=False,
    )

    class Meta:
        model = User
        fields = ["full_name", "initials", "username", "role", "firm_name", "phone"]
        labels = {"firm_name": "Company (blank = ours)"}

    def __init__(self, *args: Any, by: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk and (self.instance.role == Role.ENGINEER or self.instance.pk == by.pk):
            del self.fields["password"]

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
            if self.cleaned_data.get("role") == Role.ENGINEER:
                raise ValidationError("Engineers set their own. Save without a password, then make a link.")
            named = (self.cleaned_data.get(name, "") for name in ("full_name", "username", "firm_name"))
            checked_password(password, self.instance, *named)
        return password

    def clean_role(self) -> str:
        role: str = self.cleaned_data["role"]
        if role != Role.OFFICE and is_last_of_the_office(self.instance):
            raise ValidationError("The last person of the office who signs in: make another one first.")
        return role


class FirstStartForm(forms.Form):
    """What the first page of an empty database asks: the firm, and who signs in first."""

    firm_name = forms.CharField(label="Name of the firm", max_length=120)
    town = forms.CharField(label="Town, county", max_length=120)
    license_number = forms.CharField(
        label="Contractor's license", max_length=60, help_text="Without one write why: none asked in ND."
    )
    full_name = forms.CharField(label="Your name", max_length=80)
    username = forms.CharField(
        label="Your sign-in name", max_length=40, widget=forms.TextInput(attrs={"autocapitalize": "none"})
    )
    new = forms.CharField(
        label="Password",
        help_text="12 characters or more. A few words that belong to nobody are easiest to type.",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="Password once more",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("new") and cleaned.get("again") and cleaned["new"] != cleaned["again"]:
            self.add_error("again", "The two are not the same.")
        return cleaned

    def take(self, error: ValidationError) -> None:
        """What the service says, at its field."""
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        called = {"password": "new", "initials": "full_name", "name": "firm_name"}
        for name, words in error.message_dict.items():
            field = called.get(name, name)
            self.add_error(field if field in self.fields else None, words)


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
