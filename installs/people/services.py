"""Signing in, own passwords, sessions; adding and archiving people and certificates."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone

from installs.people.factor import has_factor, take_away, takes
from installs.people.firm_log import ON_THE_SERVER, lock_firm_log, write_firm_event
from installs.people.firm_rows import Values, archive_row, as_kept, write_row
from installs.people.forms import as_sign_in_name, refuse_own_words
from installs.people.known import browser_of, forget_browsers
from installs.people.models import (
    Certificate,
    Firm,
    FirmEvent,
    Role,
    SignedIn,
    TryKind,
    User,
    is_last_of_the_office,
)
from installs.people.sessions import browser_words, end_sessions
from installs.people.throttle import WINDOW, Trying, wait_words
from installs.typed import RowForm


class TooEarly(Exception):
    """A try that is not looked at yet; ``seconds`` says for how long."""

    def __init__(self, seconds: int) -> None:
        super().__init__(wait_words(seconds))
        self.seconds = seconds


def trying(request: HttpRequest, username: str) -> Trying:
    name = username.strip().lower()[:40]
    browser = browser_of(request)
    known = browser.knows(User.objects.filter(username=name).first())
    return Trying(name, request.META.get("REMOTE_ADDR") or None, browser.id if known else "")


def check_password(request: HttpRequest, username: str, password: str, at: datetime) -> User | None:
    """The person, or None, which stands in the firm's log. TooEarly where the try is not looked at."""
    tries = trying(request, username)
    if seconds := tries.wait_s(at):
        _held_off(tries, at)
        raise TooEarly(seconds)
    attempt = tries.record(at)
    user = authenticate(request, username=username.strip().lower(), password=password)
    if isinstance(user, User):
        attempt.succeeded = True
        attempt.save(update_fields=["succeeded"])
        return user
    _refused(tries, "Refused: name and password do not match.", at)
    return None


def check_code(request: HttpRequest, person: User, code: str, at: datetime) -> bool:
    """Whether a code of the person's authenticator, or one to recover by, was given. TooEarly as above."""
    tries = trying(request, person.username)
    if seconds := tries.wait_s(at, TryKind.CODE):
        _held_off(tries, at)
        raise TooEarly(seconds)
    attempt = tries.record(at, TryKind.CODE)
    if takes(person, code, at):
        attempt.succeeded = True
        attempt.save(update_fields=["succeeded"])
        return True
    _refused(tries, "Refused: the password is right, the code is not.", at)
    return False


def _refused(tries: Trying, what: str, at: datetime) -> None:
    write_firm_event("sign-in refused", what, by=tries.username, at=at, data=_tried(tries))


def _held_off(tries: Trying, at: datetime) -> None:
    """That tries of a name from an address are not looked at for seconds: once in a quarter of an hour."""
    of = FirmEvent.objects.filter(verb="sign-in held off", at__gt=at - WINDOW)
    if not of.filter(who=tries.username, address=tries.address or "").exists():
        what = "Too many wrong tries: slowed."
        write_firm_event(
            "sign-in held off",
            what,
            by=tries.username,
            at=at,
            address=tries.address or "",
            data=_tried(tries),
        )


def _tried(tries: Trying) -> dict[str, int]:
    """Whose name it is, where it is anybody's."""
    person = User.objects.filter(username=tries.username).first()
    return {"person": person.pk} if person else {}


def note_sign_in(person: User, at: datetime, *, by_code: bool) -> None:
    what = "Signed in, with a code." if by_code else "Signed in."
    write_firm_event("signed in", what, by=person, at=at)


def asks_code(request: HttpRequest, person: User) -> bool:
    """Whether signing in here asks for a code too: with one set up, on a browser that does not know them."""
    return has_factor(person) and not browser_of(request).knows(person)


@transaction.atomic
def change_password(person: User, password: str, at: datetime, *, keep_session: str | None = None) -> int:
    """Their own new password; how many other sessions ended by it. Other browsers are unknown again."""
    person.set_password(password)
    person.must_change_password = False
    person.save(update_fields=["password", "must_change_password"])
    forget_browsers(person, at)
    ended = end_sessions(person, but=keep_session)
    what = f"{person.full_name} changed their own password. Sessions ended: {ended}."
    write_firm_event("password set", what, by=person, at=at, data={"person": person.pk, "sessions": ended})
    return ended


@transaction.atomic
def sign_out_everywhere(person: User, *, by: User, at: datetime) -> int:
    """Ends every session of a person, and no browser knows them any more; how many sessions there were."""
    forget_browsers(person, at)
    ended = end_sessions(person)
    _sessions_ended(person, f"{person.full_name} signed out everywhere", ended, by=by, at=at)
    return ended


@transaction.atomic
def end_others(person: User, at: datetime, *, keep_session: str | None) -> int:
    ended = end_sessions(person, but=keep_session)
    _sessions_ended(person, f"{person.full_name} ended all other sessions", ended, by=person, at=at)
    return ended


@transaction.atomic
def end_session(row: SignedIn, *, by: User, at: datetime) -> None:
    """One session, by the person whose it is."""
    said = browser_words(row.browser)
    row.delete()
    _sessions_ended(by, f"{by.full_name} ended the session of {said}", 1, by=by, at=at)


def _sessions_ended(person: User, what: str, ended: int, *, by: User, at: datetime) -> None:
    data = {"person": person.pk, "sessions": ended}
    write_firm_event("sessions ended", f"{what}. Sessions ended: {ended}.", by=by, at=at, data=data)


@transaction.atomic
def archive_person(person: User, on: date, *, by: User, at: datetime) -> None:
    """Ends the sign-in at once: sessions of an inactive person are refused by the backend.

    ValidationError for the last person of the office. The office's rows are locked: of two who archive one
    another at once one stays.
    """
    _lock_office()
    if is_last_of_the_office(person):
        raise ValidationError(f"{person.full_name} is the last person of the office who signs in.")
    User.objects.filter(pk=person.pk).update(is_active=False)
    archive_row("person", person, on, by=by, at=at)
    end_sessions(person)


def _lock_office() -> None:
    """Of two who take one another out of the office at once the second sees what the first did."""
    list(User.objects.select_for_update().filter(role=Role.OFFICE).order_by("pk").values_list("pk"))


def locked_person(person: User) -> User:
    """The person's row until the transaction ends, behind those of the office: a role may be changed."""
    _lock_office()
    return User.objects.select_for_update().get(pk=person.pk)


def locked_firm() -> Firm:
    return Firm.objects.select_for_update().first() or Firm(pk=1)


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
    person.must_change_password = False
    person.save()
    forget_browsers(person, at)
    end_sessions(person)
    take_away(person, by=ON_THE_SERVER, at=at)  # an authenticator that is lost must not keep out the last one
    made_on_server(person, before, at=at)
    return person


@transaction.atomic
def begin(given: Mapping[str, Any], *, at: datetime) -> User:
    """The firm and its first person, from a valid FirstStartForm. ValidationError where somebody is here."""
    lock_firm_log()  # of two at once one is the first
    if User.objects.exists():
        raise ValidationError("Somebody is here already. Sign in instead.")
    firm = locked_firm()
    before = as_kept(firm)
    firm.name, firm.town = given["firm_name"], given["town"]
    firm.license_number = given["license_number"]
    firm.full_clean()
    firm.save()  # before the password is judged, which must not be the firm's name
    person = bring_in(given["full_name"], given["username"], given["new"], recover=False, at=at)
    write_row("firm", firm, before, by=person, at=at)
    return person


def made_on_server(person: User, before: Values | None = None, *, at: datetime | None = None) -> None:
    """Nobody signed in to do it: the firm's log says that it was done on the server."""
    now, of = at or timezone.now(), {"person": person.pk}
    write_row("person", person, before, by=ON_THE_SERVER, at=now, named=f"{person}, {person.role}")
    words = f"Password of {person.full_name} set on the server."
    write_firm_event("password set", words, by=ON_THE_SERVER, at=now, data=of)


@transaction.atomic
def save_person(form: RowForm[User], *, by: User, at: datetime) -> User:
    """Add or change a person from a valid PersonForm; a person with a password may sign in.

    A password that the office sets must be changed at the first sign-in. Nobody else's password is an
    engineer's: who becomes one sets their own by a link.
    """
    before = as_kept(form.instance)
    person = form.save(commit=False)
    password = form.cleaned_data.get("password")
    role_before = before["role"] if before else Role.ENGINEER
    becomes_engineer = role_before != Role.ENGINEER and person.role == Role.ENGINEER
    if password:
        person.set_password(password)
        person.is_active = person.must_change_password = True
    elif person.pk is None:
        person.set_unusable_password()
        person.is_active = False
    elif becomes_engineer:
        person.set_unusable_password()
    person.save()
    write_row("person", person, before, by=by, at=at, named=f"{person}, {person.role}")
    if password:
        what = f"Password of {person.full_name} set, to be changed at the first sign-in."
        write_firm_event("password set", what, by=by, at=at, data={"person": person.pk})
    if before and (password or becomes_engineer):
        sign_out_everywhere(person, by=by, at=at)
    return person
