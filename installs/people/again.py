"""The page in between: a code is asked, and what was posted goes on with it when it is right.

Nothing of it is kept here. The page holds what was posted in fields that nobody sees, and posts it to where
it was going, with the code beside it. A file cannot be held by a page: that one alone is chosen again.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from installs.people import services
from installs.people.factor import OTHER_KEY, has_factor, lost_by
from installs.people.forms import CodeForm
from installs.people.models import User
from installs.people.requests import PersonRequest

LASTS = timedelta(minutes=15)
GIVEN = "code_given_at"
OURS = ("csrfmiddlewaretoken", "sign_in_code", "password")  # nothing secret stands in a page

P = ParamSpec("P")
Asked = TypeVar("Asked", bound=PersonRequest)


def code_given(request: HttpRequest) -> None:
    request.session[GIVEN] = timezone.now().timestamp()


def held(request: HttpRequest) -> list[tuple[str, str]]:
    """What was posted, as fields of a page in between."""
    return [
        (name, str(value)) for name, values in request.POST.lists() if name not in OURS for value in values
    ]


def asked_again(request: PersonRequest) -> HttpResponse | None:
    """The page in between; None where the decision may go on.

    So it may where no codes are set up, where one was given in the last quarter of an hour, and with a code.
    """
    since = timezone.now().timestamp() - request.session.get(GIVEN, 0)
    if since < LASTS.total_seconds() or not has_factor(request.user):
        return None
    if "sign_in_code" not in request.POST:
        return _page(request, CodeForm(), 401)
    form = CodeForm(request.POST)
    if not form.is_valid():
        return _page(request, form, 422)
    return code_page(request, request.user, form, lambda status: _page(request, form, status))


def code_page(
    request: HttpRequest, person: User, form: CodeForm, page: Callable[[int], HttpResponse]
) -> HttpResponse | None:
    """None where the code is right, which is noted; else the page again with why."""
    try:
        if services.check_code(request, person, form.cleaned_data["sign_in_code"], timezone.now()):
            code_given(request)
            return None
    except services.TooEarly as early:
        return too_early(early, form, page)
    wrong = "That code is not right, or was used already. Wait for the next one."
    form.add_error("sign_in_code", OTHER_KEY if lost_by(person) else wrong)
    return page(422)


def too_early(
    early: services.TooEarly, form: CodeForm | None, page: Callable[[int], HttpResponse]
) -> HttpResponse:
    """429 with the time in words, and for programs."""
    if form is not None:
        form.add_error(None, str(early))
    response = page(429)
    response.headers["Retry-After"] = str(early.seconds)
    return response


def _page(request: PersonRequest, form: CodeForm, status: int) -> HttpResponse:
    files = [(name, str(request.FILES[name])) for name in request.FILES]
    before = request.headers.get("Referer", "")
    ours = url_has_allowed_host_and_scheme(before, {request.get_host()}, request.is_secure())
    context = {
        "form": form,
        "held": held(request),
        "files": files,
        "onward": request.get_full_path(),
        "back": before if ours else reverse("home"),
    }
    return render(request, "installs/people/code_again.html", context, status=status)


def code_again(
    view: Callable[Concatenate[Asked, P], HttpResponse],
) -> Callable[Concatenate[Asked, P], HttpResponse]:
    """Marks a view whose POST is somebody's word: it is answered with a code that was given lately."""

    @wraps(view)
    def marked(request: Asked, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        page = asked_again(request) if request.method == "POST" else None
        return page or view(request, *args, **kwargs)

    return marked
