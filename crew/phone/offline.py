"""What lets the phone work without signal: service worker, web app manifest, and the word it sends by."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Concatenate, ParamSpec, TypeVar

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.templatetags.static import static
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from crew.phone.ending import refusal
from installs.measures import uuid_or_none
from installs.people.access import allow
from installs.people.middleware import ENDED, asked_by_page, while_ended
from installs.people.requests import PersonRequest

# what every phone page is made of
SHELL = (
    "installs/look.css",
    "installs/phone.css",
    "installs/phone.js",
    "installs/words.js",
    "installs/photo.js",
    "installs/queue.js",
    "installs/unsent.js",
    "installs/trucks.js",
    "installs/entries.js",
    "installs/steps.js",
    "installs/held.js",
    "installs/guard.js",
    "installs/field.js",
    "installs/emergency.css",
    "installs/mark.svg",
    "fonts/overpass-latin-400-normal.woff2",
    "fonts/overpass-latin-600-normal.woff2",
    "fonts/overpass-latin-700-normal.woff2",
    "fonts/routed-gothic.woff2",
)
WORKER = "installs/sw.js"

P = ParamSpec("P")
Asked = TypeVar("Asked", bound=PersonRequest)


def held_on_phone(
    view: Callable[Concatenate[Asked, P], HttpResponse],
) -> Callable[Concatenate[Asked, P], HttpResponse]:
    """Marks a page as whose it is: the phone holds it for that person and shows it to nobody else."""

    @wraps(view)
    def marked(request: Asked, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if request.method == "GET" and response.status_code == 200:
            say_whose(request, response)
        return response

    return marked


def say_whose(request: PersonRequest, response: HttpResponse) -> None:
    """A page of this person; the browser's own memory of it would show it to whoever presses Back."""
    response["X-Person"] = str(request.user.pk)
    response["Cache-Control"] = "no-store"


@allow("anyone")
@require_GET
@never_cache
def service_worker(request: HttpRequest) -> HttpResponse:
    """Its text changes with anything the shell holds, so that the browser takes up the new one."""
    response = HttpResponse(_worker_text(), content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = "/"
    return response


@lru_cache(maxsize=1)
def _worker_text() -> str:
    found = {name: finders.find(name) for name in (*SHELL, WORKER)}
    missing = [name for name, path in found.items() if path is None]
    if missing:
        raise FileNotFoundError(f"Not among the static files: {', '.join(missing)}")
    content = {name: _read(str(path)) for name, path in found.items()}
    version = hashlib.sha256(b"".join(content.values())).hexdigest()[:16]
    urls = [static(name) for name in SHELL]
    head = (
        f"const VERSION = {json.dumps(version)}, SHELL = {json.dumps(urls)}, LOOK = {json.dumps(urls[0])};\n"
    )
    return head + content[WORKER].decode()


def _read(path: str) -> bytes:
    with open(path, "rb") as file:
        return file.read()


@allow("anyone")
@require_GET
def web_manifest(request: HttpRequest) -> JsonResponse:
    """So that the page can stand on the phone's home screen: there its storage is not cleared."""
    mark = {"src": static("installs/mark.svg"), "sizes": "any", "type": "image/svg+xml", "purpose": "any"}
    return JsonResponse(
        {
            "name": "Mastwright",
            "short_name": "Mastwright",
            "start_url": "/day/",
            "scope": "/",
            "display": "standalone",
            "background_color": "#f3f1ea",
            "theme_color": "#f3f1ea",
            "icons": [mark],
        },
        content_type="application/manifest+json",
    )


@asked_by_page
@while_ended
@allow("record entries")
@require_GET
@never_cache
def hello(request: PersonRequest) -> JsonResponse:
    """Who is signed in, our clock and a token to send by. ``?device=`` says whether its access has ended."""
    device, now = uuid_or_none(request.GET.get("device")), timezone.now()
    refused = refusal(request.session, device, now) if device else ""
    return JsonResponse(
        {
            "ours": "mastwright",
            "person": request.user.pk,
            "name": request.user.full_name,
            "now": now.isoformat(),
            "csrf": get_token(request),
            "ended": refused == ENDED,
            "refused": refused,
        }
    )
