"""The first page of an empty database: the firm and its first person, or the demo."""

from __future__ import annotations

import fcntl
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.contrib.auth import login
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from installs.people import services
from installs.people.access import allow
from installs.people.first_key import end_key, is_empty, is_here, opens
from installs.people.forms import FirstStartForm
from installs.people.known import remember
from installs.people.sessions import note_seen, row_of
from installs.sent.once import once, sends

NOT_HERE = "The first person signs in on the machine that Mastwright runs on."
NO_KEY = "This address has no key, or an old one. Open the address that was printed last."
THERE_IS = "Somebody is here already. Sign in, or ask the office to bring you in."
UNDER_WAY = "The demo is being loaded already. Wait for it."


@allow("anyone")
@never_cache
@sensitive_post_parameters("key", "new", "again")
@require_http_methods(["GET", "POST"])
def first_start(request: HttpRequest) -> HttpResponse:
    """Asks for the firm and its first person, who is signed in when that is sent."""
    if refused := _refused(request):
        return refused
    form = FirstStartForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        now = timezone.now()
        try:
            with once(request, redirect("first-day")):
                person = services.begin(form.cleaned_data, at=now)
        except ValidationError as error:
            form.take(error)
        else:
            end_key()
            login(request, person, backend="django.contrib.auth.backends.ModelBackend")
            if (row := row_of(request.session)) is not None:
                note_seen(request, row, now)
            services.note_sign_in(person, now, by_code=False)
            response = redirect("first-day")
            remember(request, response, person, now)
            return response
    context = {"form": form, "key": _key(request), "offers_demo": not settings.PRODUCTION}
    status = 422 if request.method == "POST" else 200
    return render(request, "installs/people/first_start.html", context, status=status)


@allow("anyone")
@sends("a demo is loaded into an empty database only")
@never_cache
@sensitive_post_parameters("key")
@require_POST
def first_demo(request: HttpRequest) -> HttpResponse:
    """Loads the invented firm, in a process of its own, and shows its sign-ins this once."""
    if settings.PRODUCTION:
        return _closed(request, NO_KEY, 403)
    if refused := _refused(request):
        return refused
    with _one_at_a_time() as alone:
        if not alone:
            return _closed(request, UNDER_WAY, 409)
        command = [sys.executable, "manage.py", "demo"]
        done = subprocess.run(command, cwd=settings.BASE_DIR, capture_output=True, text=True, check=False)
    if done.returncode:
        why = (done.stderr.strip() or "it did not say why").splitlines()[-1]
        return _closed(request, f"The demo was not loaded: {why}", 500)
    end_key()
    rows = [line.split() for line in done.stdout.splitlines() if line.startswith("  ")]
    return render(request, "installs/people/first_demo.html", {"rows": rows})


def _refused(request: HttpRequest) -> HttpResponse | None:
    """Only while nobody is here, only from this machine, never without the key."""
    if not is_empty():
        return _closed(request, THERE_IS, 409)
    if not is_here(request):
        return _closed(request, NOT_HERE, 403)
    if not opens(_key(request)):
        return _closed(request, NO_KEY, 403)
    return None


def _key(request: HttpRequest) -> str:
    return str((request.POST if request.method == "POST" else request.GET).get("key", ""))


def _closed(request: HttpRequest, words: str, status: int) -> HttpResponse:
    context = {"words": words, "empty": is_empty()}
    return render(request, "installs/people/first_closed.html", context, status=status)


@contextmanager
def _one_at_a_time() -> Iterator[bool]:
    """Whether nobody else loads the demo: a second press must not stand in the way of the first."""
    with open(Path(settings.VAR_DIR) / "first-demo.lock", "a") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            yield False
            return
        yield True
