"""My sign-in: everybody's own password, codes and sessions."""

from __future__ import annotations

import uuid as uuids
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.people import factor, services
from installs.people.access import allow
from installs.people.again import code_again, code_given, too_early
from installs.people.ciphers import deciphered, enciphered
from installs.people.forms import OwnPasswordForm, SetUpCodesForm
from installs.people.known import remember
from installs.people.middleware import while_unsettled
from installs.people.models import Firm, SecondFactor, SignedIn
from installs.people.requests import PersonRequest
from installs.people.sessions import DESK, IDLE, browser_words, sessions_of
from installs.sent.once import sends
from sitecalc.wording import span_words

OFFERED = "codes_offered"


@dataclass(frozen=True)
class Session:
    """A session in words."""

    row: SignedIn
    here: bool
    browser: str
    seen: str
    began: str

    @classmethod
    def of(cls, row: SignedIn, here: str | None, at: datetime) -> Session:
        return cls(
            row=row,
            here=row.session_key == here,
            browser=browser_words(row.browser),
            seen=_ago(row.seen_at, at),
            began=_ago(row.began_at, at),
        )


def _ago(then: datetime, now: datetime) -> str:
    """No day or hour: the page belongs to no site, so it has no clock."""
    seconds = (now - then).total_seconds()
    return f"{span_words(seconds)} ago" if seconds >= 60 else "just now"


@while_unsettled
@allow("see")
@require_GET
@never_cache
def my_sign_in(request: PersonRequest) -> HttpResponse:
    return _page(request, OwnPasswordForm(person=request.user), 200)


def _page(request: PersonRequest, form: OwnPasswordForm, status: int) -> HttpResponse:
    person, now = request.user, timezone.now()
    kept = SecondFactor.objects.filter(person=person).first()
    rows = [Session.of(row, request.session.session_key, now) for row in sessions_of(person, now)]
    context = {
        "form": form,
        "sessions": sorted(rows, key=lambda each: not each.here),
        "others": any(not each.here for each in rows),
        "offers_codes": person.role in factor.WHO,
        "codes": kept,
        "codes_lost": factor.OTHER_KEY if kept and factor.is_lost(kept) else "",
        "codes_since": _ago(kept.since, now) if kept else "",
        "codes_required": factor.is_required(person),
        "codes_left": kept.recovery_codes.filter(used_at=None).count() if kept else 0,
        "codes_made": factor.RECOVERY_CODES,
        "most_idle_hours": IDLE // timedelta(hours=1) if person.role in DESK else 0,
    }
    return render(request, "installs/people/my_sign_in.html", context, status=status)


@while_unsettled
@allow("see")
@sends("the present password is asked, which the first press changes")
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def my_password(request: PersonRequest) -> HttpResponse:
    """Change the own password; other sessions end by it. The one page for whom somebody else set one."""
    person, now = request.user, timezone.now()
    form = OwnPasswordForm(request.POST if request.method == "POST" else None, person=person)
    if request.method != "POST" or not form.is_valid():
        return _page(request, form, 422 if request.method == "POST" else 200)
    if (refused := _wrong_password(request, form)) is not None:
        return refused
    forced = person.must_change_password
    ended = services.change_password(
        person, form.cleaned_data["new"], now, keep_session=request.session.session_key
    )
    update_session_auth_hash(request, person)
    messages.success(request, f"Password changed. {ended} other session{'s' if ended != 1 else ''} ended.")
    response = redirect("home" if forced else "my-sign-in")
    remember(request, response, person, now)
    return response


def _wrong_password(request: PersonRequest, form: OwnPasswordForm | SetUpCodesForm) -> HttpResponse | None:
    """The page again where the present password is not right; guessed, it is slowed like a sign-in."""

    def page(status: int) -> HttpResponse:
        if isinstance(form, SetUpCodesForm):
            return _codes_page(request, form, status)
        return _page(request, form, status)

    try:
        given = form.cleaned_data["present"]
        if services.check_password(request, request.user.username, given, timezone.now()):
            return None
    except services.TooEarly as early:
        form.add_error("present", str(early))
        return too_early(early, None, page)
    form.add_error("present", "That is not your present password.")
    return page(422)


@while_unsettled
@allow("see")
@sends("codes are set up once, and then the page leads away")
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def my_codes(request: PersonRequest) -> HttpResponse:
    """Set up an authenticator: its secret is shown, and in force once a code of it was given."""
    person, now = request.user, timezone.now()
    if person.must_change_password:
        return redirect("my-password")
    if person.role not in factor.WHO or factor.has_factor(person):
        return redirect("my-sign-in")
    form = SetUpCodesForm(request.POST if request.method == "POST" else None)
    if request.method != "POST" or not form.is_valid():
        return _codes_page(request, form, 422 if request.method == "POST" else 200)
    if (refused := _wrong_password(request, form)) is not None:
        return refused
    try:
        code = form.cleaned_data["sign_in_code"]
        codes = factor.set_up(person, _offered(request) or "", code, now)
    except ValidationError as error:
        form.add_error("sign_in_code", error.messages)
        return _codes_page(request, form, 422)
    request.session.pop(OFFERED, None)
    code_given(request)
    response = _shown_once(request, codes)
    remember(request, response, person, now)
    return response


def _offered(request: PersonRequest) -> str | None:
    """The secret that the page showed; a session is a row of the database too."""
    return deciphered(request.session.get(OFFERED, ""))


def _codes_page(request: PersonRequest, form: SetUpCodesForm, status: int) -> HttpResponse:
    """The same secret until it is in force: the page may be read twice."""
    secret = _offered(request) or factor.new_secret()
    request.session[OFFERED] = enciphered(secret)
    firm = Firm.objects.first()
    link = factor.link_of(secret, request.user, firm.name if firm else "")
    context = {
        "form": form,
        "secret": " ".join(secret[at : at + 4] for at in range(0, len(secret), 4)),
        "link": link,
        "qr": mark_safe(factor.qr_svg(link)),  # drawn by the library from our own link
        "codes_required": factor.is_required(request.user),
    }
    return render(request, "installs/people/my_codes.html", context, status=status)


def _shown_once(request: PersonRequest, codes: list[str]) -> HttpResponse:
    return render(request, "installs/people/recovery_codes.html", {"codes": codes})


@allow("see")
@sends("the newest codes stand, and are shown to who asked")
@require_POST
@never_cache
@code_again
def my_recovery_codes(request: PersonRequest) -> HttpResponse:
    if not factor.has_factor(request.user):
        return redirect("my-sign-in")
    return _shown_once(request, factor.renew_recovery_codes(request.user, timezone.now()))


@allow("see")
@sends("codes that are off are off")
@require_POST
@code_again
def my_codes_off(request: PersonRequest) -> HttpResponse:
    """Ends the codes, but not where the firm asks them of everybody."""
    if factor.is_required(request.user) and not factor.lost_by(request.user):
        messages.error(request, "The firm asks for codes: they stay on. The office can take a lost one away.")
        return redirect("my-sign-in")
    now = timezone.now()
    gone = factor.take_away(request.user, by=request.user, at=now, keep_session=request.session.session_key)
    request.session.pop("has_codes", None)
    response = redirect("my-sign-in")
    if gone:
        messages.success(request, "Codes are off. Every other session ended.")
        remember(request, response, request.user, now)
    return response


@while_unsettled
@allow("see")
@sends("a session that ended has ended")
@require_POST
def end_session(request: PersonRequest, handle: uuids.UUID) -> HttpResponse:
    """End one of the own sessions; this one is signed out like any other."""
    row = get_object_or_404(SignedIn, person=request.user, handle=handle)
    if row.session_key == request.session.session_key:
        request.session.flush()
        return redirect("sign-in")
    services.end_session(row, by=request.user, at=timezone.now())
    messages.success(request, f"{browser_words(row.browser)} is signed out.")
    return redirect("my-sign-in")


@while_unsettled
@allow("see")
@sends("sessions that ended have ended")
@require_POST
def end_others(request: PersonRequest) -> HttpResponse:
    ended = services.end_others(request.user, timezone.now(), keep_session=request.session.session_key)
    messages.success(request, f"{ended} other session{'s' if ended != 1 else ''} ended.")
    return redirect("my-sign-in")
