"""Signing in, with guessing slowed down; adding and archiving people and certificates."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest

from installs.people.models import Certificate, Firm, Role, SignInAttempt, User, is_last_of_the_office

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
    """The person, or None; each try is recorded."""
    address = request.META.get("REMOTE_ADDR")
    user = authenticate(request, username=username.strip().lower(), password=password)
    SignInAttempt.objects.create(
        username=username.strip().lower()[:40], address=address, at=at, succeeded=user is not None
    )
    return user if isinstance(user, User) else None


@transaction.atomic
def archive_person(person: User, on: date) -> None:
    """Ends the sign-in at once: sessions of an inactive person are refused by the backend.

    ValidationError for the last person of the office. The office's rows are locked: of two who archive one
    another at once one stays.
    """
    _lock_office()
    if is_last_of_the_office(person):
        raise ValidationError(f"{person.full_name} is the last person of the office who signs in.")
    User.objects.filter(pk=person.pk).update(archived_on=on, is_active=False)


def _lock_office() -> None:
    """Of two who take one another out of the office at once the second sees what the first did."""
    list(User.objects.select_for_update().filter(role=Role.OFFICE).order_by("pk").values_list("pk"))


def locked_person(person: User) -> User:
    """The person's row until the transaction ends, behind those of the office: a role may be changed."""
    _lock_office()
    return User.objects.select_for_update().get(pk=person.pk)


def locked_firm() -> Firm:
    return Firm.objects.select_for_update().first() or Firm(pk=1)


def add_certificate(person: User, form: Any) -> Certificate:
    form.instance.person = person
    kept: Certificate = form.save()
    return kept


def archive_certificate(certificate: Certificate, on: date) -> None:
    Certificate.objects.filter(pk=certificate.pk).update(archived_on=on)


def save_person(form: Any) -> User:
    """Add or change a person from a valid PersonForm; a person with a password may sign in."""
    person: User = form.save(commit=False)
    password = form.cleaned_data["password"]
    if password:
        person.set_password(password)
        person.is_active = True
    elif person.pk is None:
        person.set_unusable_password()
        person.is_active = False
    person.save()
    return person
