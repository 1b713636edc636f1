"""The second factor: codes of an authenticator (TOTP, RFC 6238) and recovery codes for when it is lost."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime

import pyotp
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction

from installs.people.ciphers import deciphered, enciphered
from installs.people.firm_log import write_firm_event
from installs.people.known import forget_browsers
from installs.people.models import RecoveryCode, Role, SecondFactor, User
from installs.people.sessions import end_sessions

# whose word releases a design or opens every job
WHO = (Role.OFFICE, Role.ENGINEER)
STEP_S = 30
DRIFT = 1  # half minutes that a phone's clock may be off, RFC 6238, 5.2
RECOVERY_CODES = 10
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is read as another


def new_secret() -> str:
    """160 bits, as RFC 4226 (requirement R6) recommends."""
    return pyotp.random_base32(32)


def link_of(secret: str, person: User, firm: str) -> str:
    """What an authenticator reads, as a link or as a QR code."""
    return pyotp.TOTP(secret).provisioning_uri(name=person.username, issuer_name=firm or "Mastwright")


def has_factor(person: User) -> bool:
    return SecondFactor.objects.filter(person=person).exists()


OTHER_KEY = (
    "This server has another SECRET_KEY than the one under which your codes were set up, so it cannot check "
    "them: use a recovery code, turn the codes off, then set them up anew. Without one the office takes them "
    "off for you."
)


def is_lost(factor: SecondFactor) -> bool:
    """Whether its secret cannot be read under the key of this server: codes have to be set up anew."""
    return deciphered(factor.secret) is None


def lost_by(person: User) -> bool:
    factor = SecondFactor.objects.filter(person=person).first()
    return factor is not None and is_lost(factor)


def lost_under_this_key() -> str:
    """Whose codes have to be set up anew, in a sentence; "" where nobody's have."""
    lost = [f.person.full_name for f in SecondFactor.objects.select_related("person") if is_lost(f)]
    if not lost:
        return ""
    return (
        "SECRET_KEY is another than the one under which authenticators were set up: the codes of "
        f"{', '.join(lost)} have to be set up anew. They sign in by a recovery code, or the office takes "
        "their codes off (People). With the former key in SECRET_KEY_FALLBACKS the codes go on."
    )


def is_required(person: User) -> bool:
    return settings.SECOND_FACTOR_REQUIRED and person.role in WHO


def step_of(secret: str, code: str, at: datetime, after: int = 0) -> int | None:
    """The half minute whose code this is, near ``at`` and later than ``after``."""
    now, totp = int(at.timestamp()) // STEP_S, pyotp.TOTP(secret)
    typed = "".join(code.split()).encode()
    for step in range(now - DRIFT, now + DRIFT + 1):
        if step > after and secrets.compare_digest(totp.generate_otp(step).encode(), typed):
            return step
    return None


@transaction.atomic
def set_up(person: User, secret: str, code: str, at: datetime) -> list[str]:
    """The authenticator is in force from now on; its recovery codes, to be shown once.

    ValidationError for a code that is not of this secret. Other browsers are unknown again.
    """
    step = step_of(secret, code, at)
    if step is None:
        raise ValidationError("That is not the code that belongs to this secret now.")
    if person.role not in WHO:
        raise ValidationError("Codes are for the office and the engineer.")
    User.objects.select_for_update().get(pk=person.pk)
    if has_factor(person):
        raise ValidationError("Codes are set up already: turn them off first.")
    factor = SecondFactor.objects.create(person=person, secret=enciphered(secret), since=at, last_step=step)
    forget_browsers(person, at)
    codes = _new_recovery_codes(factor)
    _write("codes on", f"{person.full_name} set up an authenticator", person, by=person, at=at)
    return codes


@transaction.atomic
def renew_recovery_codes(person: User, at: datetime) -> list[str]:
    """Ten new ones; those before open nothing any more."""
    factor = SecondFactor.objects.select_for_update().get(person=person)
    factor.recovery_codes.all().delete()
    codes = _new_recovery_codes(factor)
    _write("recovery codes made", f"{person.full_name} made new recovery codes", person, by=person, at=at)
    return codes


def _write(verb: str, what: str, person: User, *, by: User | str, at: datetime) -> None:
    write_firm_event(verb, f"{what}.", by=by, at=at, data={"person": person.pk})


def _new_recovery_codes(factor: SecondFactor) -> list[str]:
    codes = [_random_code() for _ in range(RECOVERY_CODES)]
    RecoveryCode.objects.bulk_create(RecoveryCode(factor=factor, sha256=_hash(code)) for code in codes)
    return codes


def _random_code() -> str:
    """ "k7mq-2vxa-hw9c-tb4e" """
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(4))


def _hash(code: str) -> str:
    """Of 79 random bits: nobody finds them by trying, so a plain hash keeps them as well as a slow one."""
    return hashlib.sha256("".join(c for c in code.lower() if c.isalnum()).encode()).hexdigest()


@transaction.atomic
def takes(person: User, code: str, at: datetime) -> bool:
    """Whether this code is theirs now; it is used by that and not taken a second time (RFC 6238, 5.2)."""
    factor = SecondFactor.objects.select_for_update().filter(person=person).first()
    if factor is None or not code.strip():
        return False
    secret = deciphered(factor.secret)
    step = step_of(secret, code, at, after=factor.last_step) if secret else None
    if step is not None:
        factor.last_step = step
        factor.save(update_fields=["last_step"])
        return True
    if factor.recovery_codes.filter(sha256=_hash(code), used_at=None).update(used_at=at) != 1:
        return False
    _write("recovery code used", f"{person.full_name} used a recovery code", person, by=person, at=at)
    return True


@transaction.atomic
def take_away(person: User, *, by: User | str, at: datetime, keep_session: str | None = None) -> bool:
    """Ends the authenticator and every session but the one of that key; False where there was none."""
    gone = SecondFactor.objects.filter(person=person).delete()[0] > 0
    if gone:
        forget_browsers(person, at)
        end_sessions(person, but=keep_session)
        _write("codes off", f"Codes of {person.full_name} are off", person, by=by, at=at)
    return gone


def qr_svg(link: str) -> str:
    """The link as a QR code, drawn in the page."""
    import segno

    drawn: str = segno.make(link, error="m").svg_inline(
        scale=4, border=4, dark="#000", light="#fff", svgclass="qr", lineclass=None, omitsize=False
    )
    return drawn
