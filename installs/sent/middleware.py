"""Stands round every view that is posted to: no form without its id, none twice, a collision tried again."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import date
from functools import partial
from typing import Any

from django.db import Error
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from installs.sent.once import (
    OF_THE_PAGE,
    OldPage,
    SentBefore,
    SentOtherwise,
    collided,
    form_id,
    refuse_second,
)
from installs.sent.seen import Seen
from sitecalc.wording import day_words

BUTTONS = ("do", "save", "add", "add-card", "add-record", "add-chart", "back")
NO_ID = "This page does not say which form it is. Nothing was saved. Read what you sent, then send it again."


def one_press(get_response: Callable[[HttpRequest], HttpResponse]) -> Any:
    """A view is closed to a post without an id, unless it says (``@sends``) what else keeps it from two."""

    def middleware(request: HttpRequest) -> HttpResponse:
        return get_response(request)

    def process_view(
        request: HttpRequest, view: Any, args: Any, kwargs: dict[str, Any]
    ) -> HttpResponseBase | None:
        if request.method != "POST":
            return None
        answer = partial(_answered, request, partial(view, request, *args, **kwargs))
        try:
            if not hasattr(view, "sends"):  # of others nothing is read here: what is sent may be no form
                uuid = form_id(request)
                if uuid is None:
                    return again(request, NO_ID, status=422)
                with suppress(SentOtherwise):  # its view says so in the form that comes back
                    refuse_second(request, uuid)
            return _tried_twice(request, answer)
        except SentBefore as sent:
            return HttpResponseRedirect(sent.place or reverse("home"))
        except SentOtherwise as sent:
            return again(request, " ".join(sent.messages), status=409)
        except OldPage as old:
            return again(request, f"Not done: {old.words}", status=409, old=old)

    middleware.process_view = process_view  # type: ignore[attr-defined]  # Django asks a function for it
    return middleware


def _answered(request: HttpRequest, view: Callable[[], HttpResponseBase]) -> HttpResponseBase:
    """Of an error that another middleware has an answer for its answer: Django asks it for no view that is
    called in here."""
    try:
        return view()
    except Exception as error:
        answers_error = getattr(request, "answers_error", None)
        answer: HttpResponseBase | None = answers_error(request, error) if answers_error else None
        if answer is None:
            raise
        return answer


def _tried_twice(request: HttpRequest, answer: Callable[[], HttpResponseBase]) -> HttpResponseBase:
    """Where two changes met, one of them was undone as a whole: it is tried once more on what stands now."""
    try:
        return answer()
    except Error as error:
        if not collided(error):
            raise
    for _, given in request.FILES.lists():
        for each in given:
            each.seek(0)
    return answer()


def again(request: HttpRequest, words: str, *, status: int, old: OldPage | None = None) -> HttpResponse:
    """What was typed, with the form's own fields hidden behind a button that sends it again."""
    posted = [(n, text) for n, texts in request.POST.lists() if n not in OF_THE_PAGE for text in texts]
    context = {
        "words": words,
        "changed": old.changed if old else (),
        "old": old,
        "posted": posted,
        "said": [(_named(name), _day(text)) for name, text in posted if name not in BUTTONS and _says(text)],
        "files": list(request.FILES),
        "now": old.now if old else _read(request),
        "back": _back(request),
    }
    return render(request, "installs/sent/again.html", context, status=status)


def _says(text: str) -> bool:
    """The key of a row says nothing to who chose it."""
    return bool(text.strip()) and not text.isdigit()


def _day(text: str) -> str:
    try:
        return day_words(date.fromisoformat(text), year=True)
    except ValueError:
        return text


def _named(field: str) -> str:
    return field.rpartition("-")[2].replace("_", " ").capitalize()


def _read(request: HttpRequest) -> dict[str, str] | Seen:
    """A page that is shown again for another reason stays the page that was read."""
    return {name: request.POST.get(name, "") for name in ("drawn_from", "seen")}


def _back(request: HttpRequest) -> str:
    page = request.headers.get("Referer", "")
    safe = url_has_allowed_host_and_scheme(page, {request.get_host()}, request.is_secure())
    return page if safe else reverse("home")
