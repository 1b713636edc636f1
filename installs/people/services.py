"""Signing in, with guessing slowed down; adding and archiving people and certificates."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone

from installs.people.firm_log import ON_THE_SERVER, lock_firm_log, write_firm_event
from installs.people.firm_rows import Values, archive_row, as_kept, write_row
from installs.people.forms import as_sign_in_name, refuse_own_words
from installs.people.models import (
    Certificate,
    FirmEvent,
    Role,
    SignInAttempt,
    User,
    is_last_of_the_office,
)
from installs.typed import RowForm

WINDOW = timedelta(minutes=15)
TRIES_PER_NAME = 10
TRIES_PER_ADDRESS = 30


def too_many_tries(username: str, address: str | None, at: datetime) -> bool:
    """Counted before the password is hashed, so that guessing cannot load the server either.

    Tries are counted by name and by address together with a failed result, never locking a person
    out for longer than the window.
    """
    failed = SignInAttempt.objects.filter(succeeded=False, at__gt=at - WINDOW)
    if failed.filter(username=username[:40].lower()).count() >= TRIES_PER_NAME:
        return True
    return address is not None and failed.filter(address=address).count() >= TRIES_PER_ADDRESS


def sign_in(request: HttpRequest, username: str, password: str, at: datetime) -> User | None:
    """The person, or None; each try is recorded, and stands in the firm's log."""
    name, address = username.strip().lower()[:40], request.META.get("REMOTE_ADDR")
    user = authenticate(request, username=username.strip().lower(), password=password)
    with transaction.atomic():
        SignInAttempt.objects.create(username=name, address=address, at=at, succeeded=user is not None)
        if isinstance(user, User):
            write_firm_event("signed in", "Signed in.", by=user, at=at)
        else:
            what = "Refused: name and password do not match."
            write_firm_event("sign-in refused", what, by=name, at=at, data=_tried(name))
    return user if isinstance(user, User) else None


def held_off(request: HttpRequest, username: str, at: datetime) -> None:
    """Say in the firm's log that tries of a name from an address are not looked at: once in a window."""
    name, address = username.strip().lower()[:40], request.META.get("REMOTE_ADDR") or ""
    of = FirmEvent.objects.filter(verb="sign-in held off", at__gt=at - WINDOW)
    if not of.filter(who=name, address=address).exists():
        what = "Too many tries: not looked at for a quarter of an hour."
        write_firm_event("sign-in held off", what, by=name, at=at, address=address, data=_tried(name))


def _tried(name: str) -> dict[str, int]:
    """Whose name it is, where it is anybody's."""
    person = User.objects.filter(username=name).first()
    return {"person": person.pk} if person else {}


@transaction.atomic
def archive_person(person: User, on: date, *, by: User, at: datetime) -> None:
    """Ends the sign-in at once: sessions of an inactive person are refused by the backend.

    ValidationError for the last person of the office. The office's rows are locked: of two who archive one
    another at once one stays.
    """
    list(User.objects.select_for_update().filter(role=Role.OFFICE).order_by("pk").values_list("pk"))
    if is_last_of_the_office(person):
        raise ValidationError(f"{person.full_name} is the last person of the office who signs in.")
    User.objects.filter(pk=person.pk).update(is_active=False)
    archive_row("person", person, on, by=by, at=at)


@transaction.atomic
def add_certificate(person: User, form: RowForm[Certificate], *, by: User, at: datetime) -> Certificate:
    """A card or license, and who recorded it: without that it counts nowhere."""
    card = form.instance
    card.person, card.recorded_by, card.recorded_at = person, by, at
    card.save()
    write_row("card", card, None, by=by, at=at, of={"person": person.pk}, named=card.in_words)
    return card


def archive_certificate(certificate: Certificate, on: date, *, by: User, at: datetime) -> None:
    of, named = {"person": certificate.person_id}, certificate.in_words
    archive_row("card", certificate, on, by=by, at=at, of=of, named=named)


@transaction.atomic
def bring_in(name: str, sign_in: str, password: str, *, recover: bool, at: datetime) -> User:
    """A person of the office, made on the server: the first one, or with ``recover`` whoever is named.

    A person who is there already gets the password and the office, and keeps the name. ValidationError where
    somebody of the office signs in and ``recover`` is not asked, and at each field that is not right.
    """
    lock_firm_log()  # of two at once one is the first
    if not recover and (there := User.objects.of_the_office().first()):
        raise ValidationError(f"{there.full_name} of the office signs in and can bring in others.")
    try:
        username = as_sign_in_name(sign_in)
    except ValidationError as error:
        raise ValidationError({"username": error.messages}) from error
    person = User.objects.filter(username=username).first() or User(username=username, full_name=name.strip())
    if person.archived_on:
        raise ValidationError({"username": f"{person.full_name} is archived: take another sign-in name."})
    before = as_kept(person)
    person.initials = person.initials or "".join(word[0] for word in person.full_name.split())[:4].upper()
    person.role, person.is_active = Role.OFFICE, True
    person.set_password(password)
    person.full_clean()
    try:
        validate_password(password, person)
        refuse_own_words(password, person.full_name, person.username)
    except ValidationError as error:
        raise ValidationError({"password": error.messages}) from error
    person.save()
    made_on_server(person, before, at=at)
    return person


def made_on_server(person: User, before: Values | None = None, *, at: datetime | None = None) -> None:
    """Nobody signed in to do it: the firm's log says that it was done on the server."""
    now, of = at or timezone.now(), {"person": person.pk}
    write_row("person", person, before, by=ON_THE_SERVER, at=now, named=f"{person}, {person.role}")
    words = f"Password of {person.full_name} set on the server."
    write_firm_event("password set", words, by=ON_THE_SERVER, at=now, data=of)


@transaction.atomic
def save_person(form: RowForm[User], *, by: User, at: datetime) -> User:
    """Add or change a person from a valid PersonForm; a person with a password may sign in."""
    before = as_kept(form.instance)
    person = form.save(commit=False)
    password = form.cleaned_data["password"]
    if password:
        person.set_password(password)
        person.is_active = True
    elif person.pk is None:
        person.set_unusable_password()
        person.is_active = False
    person.save()
    write_row("person", person, before, by=by, at=at, named=f"{person}, {person.role}")
    if password:
        of = {"person": person.pk}
        write_firm_event("password set", f"Password of {person.full_name} set.", by=by, at=at, data=of)
    return person
