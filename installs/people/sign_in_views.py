"""Signing in and out: password, on an unknown browser a code too, and the office's one-time link."""

from __future__ import annotations

import json
from datetime import datetime, timedelta

from django.contrib import messages
from django.contrib.auth import login, logout
from django.core import signing
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from installs.people import services
from installs.people.access import allow
from installs.people.again import code_given, code_page, too_early
from installs.people.first_key import is_empty
from installs.people.forms import CodeForm, NewPasswordForm, SignInForm
from installs.people.known import browser_of, remember
from installs.people.links import GONE, link_for, set_by_link
from installs.people.middleware import while_ended, while_unsettled
from installs.people.models import User
from installs.people.requests import PersonRequest
from installs.people.sessions import note_seen, row_of
from installs.sent.once import sends

PASSED = "password given, code asked"
PASSED_LASTS = timedelta(minutes=10)


@allow("anyone")
@sends("signing in keeps nothing")
@never_cache
@sensitive_post_parameters("password", "sign_in_code", "held")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """The same answer for an unknown name and a wrong password."""
    if "passed" in request.POST:
        return _with_code(request)
    form = SignInForm(request.POST if request.method == "POST" else None)
    if request.method != "POST":
        return _page(request, form, 200)
    if not form.is_valid():
        return _page(request, form, 422)
    now, given = timezone.now(), form.cleaned_data
    try:
        person = services.check_password(request, given["username"], given["password"], now)
    except services.TooEarly as early:
        form.add_error(None, str(early))
        return too_early(early, None, lambda status: _page(request, form, status))
    if person is None:
        form.add_error(None, "Name and password do not match.")
        return _page(request, form, 422)
    if services.asks_code(request, person):
        return _code_page(request, CodeForm(), _passed(person), 200)
    return _signed_in(request, person, now)


def _with_code(request: HttpRequest) -> HttpResponse:
    """The second page: who gave the right password minutes ago gives a code."""
    passed = request.POST["passed"]
    person = _who_passed(passed)
    if person is None:
        form = SignInForm({"username": ""})
        form.errors.clear()
        form.add_error(None, "That took more than ten minutes. Sign in again.")
        return _page(request, form, 422)
    form_of_code = CodeForm(request.POST)
    if not form_of_code.is_valid():
        return _code_page(request, form_of_code, passed, 422)
    refused = code_page(
        request, person, form_of_code, lambda status: _code_page(request, form_of_code, passed, status)
    )
    return refused or _signed_in(request, person, timezone.now(), by_code=True)


def _passed(person: User) -> str:
    """That this person gave their password: bound to it, so that it ends when the password changes."""
    return signing.dumps([person.pk, person.get_session_auth_hash()], salt=PASSED)


def _who_passed(said: str) -> User | None:
    try:
        pk, seal = signing.loads(said, salt=PASSED, max_age=PASSED_LASTS)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    person = User.objects.filter(pk=pk, is_active=True).first()
    return person if person and person.get_session_auth_hash() == seal else None


def _signed_in(request: HttpRequest, person: User, at: datetime, *, by_code: bool = False) -> HttpResponse:
    login(request, person, backend="django.contrib.auth.backends.ModelBackend")
    if by_code:
        code_given(request)
    row = row_of(request.session)
    if row is not None:
        note_seen(request, row, at)
    services.note_sign_in(person, at, by_code=by_code)
    onward = request.POST.get("next", "")
    safe = url_has_allowed_host_and_scheme(onward, {request.get_host()}, request.is_secure())
    # a path of ours, not a word that might be the name of a page
    safe = safe and onward.startswith("/")
    held = _held(request) if safe else []
    response: HttpResponse = HttpResponseRedirect(onward) if safe else redirect("home")
    if held and not person.must_change_password:
        context = {"onward": onward, "held": held, "person": person}
        response = render(request, "installs/people/go_on.html", context)
    remember(request, response, person, at)
    return response


def _held(request: HttpRequest) -> list[tuple[str, str]]:
    """What was posted to a page of ours when nobody was signed in any more (installs/jobs/middleware.py)."""
    try:
        fields = json.loads(request.POST.get("held") or "[]")
        return [(str(name), str(value)) for name, value in fields]
    except (ValueError, TypeError, RecursionError):
        return []


def _carried(request: HttpRequest) -> dict[str, str]:
    return {
        "next": request.POST.get("next") or request.GET.get("next", ""),
        "held": request.POST.get("held", ""),
    }


def _page(request: HttpRequest, form: SignInForm, status: int) -> HttpResponse:
    context = {"form": form, "empty": is_empty(), **_carried(request)}
    return render(request, "installs/people/sign_in.html", context, status=status)


def _code_page(request: HttpRequest, form: CodeForm, passed: str, status: int) -> HttpResponse:
    known = bool(browser_of(request).id)
    context = {"form": form, "passed": passed, "known": known, **_carried(request)}
    return render(request, "installs/people/sign_in_code.html", context, status=status)


@while_ended
@while_unsettled
@allow("see")
@sends("signing out twice is signing out")
@require_POST
def sign_out(request: PersonRequest) -> HttpResponse:
    logout(request)
    return redirect("sign-in")


@allow("anyone")
@sends("a link is used once")
@never_cache
@sensitive_post_parameters("token", "new", "again")
@require_http_methods(["GET", "POST"])
def by_link(request: HttpRequest) -> HttpResponse:
    """Whoever was handed the link sets their own password by it, once.

    Its token comes in the form and in no address: what stands in an address stands in logs.
    """
    now, token = timezone.now(), request.POST.get("token", "").rpartition("#")[2].strip()
    if not token:
        return render(request, "installs/people/link.html", {"asks": True})
    link = link_for(token, now)
    if link is None:
        return render(request, "installs/people/link.html", {"gone": GONE}, status=410)
    form = NewPasswordForm(request.POST if "new" in request.POST else None, person=link.person)
    if form.is_valid():
        try:
            set_by_link(token, form.cleaned_data["new"], now)
        except ValidationError as error:
            return render(request, "installs/people/link.html", {"gone": error.messages[0]}, status=410)
        logout(request)
        messages.success(request, "Your password is set. Sign in with it.")
        return redirect("sign-in")
    context = {"form": form, "person": link.person, "token": token}
    return render(request, "installs/people/link.html", context, status=422 if form.is_bound else 200)
