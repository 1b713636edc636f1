"""A request has one id: in the log, on its answer, with the work it asked for, in the alarm of its error."""

from __future__ import annotations

import json
import logging
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from queue import Queue
from typing import Any

import pytest
from django.core import mail
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import path, reverse

from installs.people.access import allow
from installs.urls import handler500 as handler500  # of this module's own urls
from installs.urls import urlpatterns
from installs.work import alarm, registry, runner, services
from installs.work.models import WorkRequest
from installs.work.registry import Kind
from installs.work.request_id import WithRequestId, current_request_id
from tests.make import AT, alma
from tests.served import PATIENCE_S

pytestmark = pytest.mark.django_db

log = logging.getLogger("installs.test")


@allow("anyone")
def breaks(request: HttpRequest, name: str) -> HttpResponse:
    log.info("about to break")
    raise ValueError(f"what {name} typed: 12 Plum Street")


@allow("anyone")
def asks(request: HttpRequest) -> HttpResponse:
    services.request_work("tests.bench", {}, by=None, at=AT, key="packet")
    return HttpResponse("asked")


urlpatterns = [*urlpatterns, path("breaks/<str:name>/", breaks), path("asks/", asks)]


class Lines(logging.Handler):
    """What the log's line says of each record."""

    def __init__(self) -> None:
        super().__init__()
        self.addFilter(WithRequestId())
        self.seen: list[tuple[str, str]] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.seen.append((record.request_id, record.getMessage()))  # type: ignore[attr-defined]


@pytest.fixture
def lines() -> Iterator[Lines]:
    lines = Lines()
    for name in ("installs", "django.request"):
        logging.getLogger(name).addHandler(lines)
    yield lines
    for name in ("installs", "django.request"):
        logging.getLogger(name).removeHandler(lines)


@pytest.fixture
def browser() -> Client:
    return Client(raise_request_exception=False)


@pytest.fixture(autouse=True)
def told_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever earlier tests were told may be told again."""
    for name in ("installs", "crew", "django.request"):
        for handler in logging.getLogger(name).handlers:
            if isinstance(handler, alarm.Alarm):
                monkeypatch.setattr(handler, "_told", {})


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> Queue[None]:
    """Has one item for each alarm whose sending is over."""
    over: Queue[None] = Queue()
    tell = alarm.tell

    def telling(*args: Any) -> None:
        tell(*args)
        over.put(None)

    monkeypatch.setattr(alarm, "tell", telling)
    return over


def test_a_proxys_id_is_taken_and_given_back(client: Client) -> None:
    answer = client.get("/health", headers={"X-Request-ID": "0f6f2d0e-4c1b-4a58"})
    assert answer.headers["X-Request-ID"] == "0f6f2d0e-4c1b-4a58"


@pytest.mark.parametrize(
    "sent", ["", "short", "x" * 65, "two words 12345", "line\\nbreak123", "<script>1234", "идентификатор"]
)
def test_what_is_no_id_is_replaced_by_one_of_ours(client: Client, sent: str) -> None:
    answers = [client.get("/health", headers={"X-Request-ID": sent}).headers["X-Request-ID"] for _ in "12"]
    assert all(len(given) == 32 and given.isalnum() for given in answers)
    assert answers[0] != answers[1]
    assert current_request_id() == "-"


@pytest.mark.urls(__name__)
def test_every_line_of_a_request_has_its_id_and_so_has_the_page(browser: Client, lines: Lines) -> None:
    answer = browser.get("/breaks/Ann/", headers={"X-Request-ID": "proxy-12345"})
    assert answer.status_code == 500
    assert [given for given, _ in lines.seen] == ["proxy-12345"] * 2
    assert "proxy-12345" in answer.content.decode()


@pytest.mark.urls(__name__)
def test_work_goes_on_under_the_id_of_the_request_that_asked_for_it(browser: Client, lines: Lines) -> None:
    def do(work: Any) -> str:
        log.info("at work")
        return "done"

    registry.KINDS["tests.bench"] = Kind("tests.bench", "papers", do, registry.outcome_is_result, 600)
    try:
        assert browser.get("/asks/", headers={"X-Request-ID": "proxy-12345"}).status_code == 200
        assert runner.work_one("papers")
    finally:
        del registry.KINDS["tests.bench"]
    assert WorkRequest.objects.get().request_id == "proxy-12345"
    assert lines.seen == [("proxy-12345", "at work")]


@pytest.mark.urls(__name__)
def test_an_error_is_told_by_mail_once_without_anything_of_a_person(
    browser: Client, settings: Any, sent: Queue[None]
) -> None:
    settings.ADMINS = [("", "it@plains.example")]
    browser.force_login(alma())
    for number in "12":
        browser.post(
            "/breaks/form/?q=secret", {"password": "hunter2"}, headers={"X-Request-ID": f"proxy-1234{number}"}
        )
    sent.get(timeout=PATIENCE_S)
    assert sent.empty()
    [told] = mail.outbox
    assert told.to == ["it@plains.example"]
    assert told.subject.startswith("Mastwright: ValueError at ")
    assert "request: proxy-12341" in told.body
    assert "asked: POST /breaks/form/" in told.body
    for private in ("hunter2", "secret", "Plum Street", "alma", "Alma", "sessionid"):
        assert private not in told.subject + told.body


@pytest.mark.urls(__name__)
def test_an_error_is_told_to_a_hook(browser: Client, settings: Any, sent: Queue[None]) -> None:
    posted: Queue[Any] = Queue()

    class Hook(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            posted.put(json.loads(self.rfile.read(int(self.headers["Content-Length"]))))
            self.send_response(204)
            self.end_headers()

        def log_message(self, *args: Any) -> None: ...

    with HTTPServer(("127.0.0.1", 0), Hook) as server:
        threading.Thread(target=server.handle_request).start()
        settings.ALARM_HOOK = f"http://127.0.0.1:{server.server_port}/"
        browser.get("/breaks/Ann/", headers={"X-Request-ID": "proxy-12345"})
        told = posted.get(timeout=PATIENCE_S)
        sent.get(timeout=PATIENCE_S)
    assert (told["request"], told["asked"], told["status"]) == ("proxy-12345", "GET /breaks/Ann/", "500")
    assert told["text"].startswith(told["cause"]) and "Plum Street" not in json.dumps(told)


@pytest.mark.urls(__name__)
def test_an_alarm_that_cannot_be_sent_hurts_nobody(
    browser: Client, settings: Any, sent: Queue[None], lines: Lines
) -> None:
    settings.ALARM_HOOK = "http://127.0.0.1:1/"
    assert browser.get("/breaks/Ann/").status_code == 500
    sent.get(timeout=PATIENCE_S)
    assert any("could not be sent by hook" in words for _, words in lines.seen)


def test_work_that_fails_by_an_error_of_ours_is_told_too(settings: Any, sent: Queue[None]) -> None:
    def do(work: Any) -> None:
        raise KeyError("12 Plum Street")

    settings.ADMINS = [("", "it@plains.example")]
    registry.KINDS["tests.bench"] = Kind("tests.bench", "papers", do, registry.outcome_is_result, 600)
    try:
        services.request_work("tests.bench", {}, by=None, at=AT, key="packet")
        runner.work_one("papers")
    finally:
        del registry.KINDS["tests.bench"]
    sent.get(timeout=PATIENCE_S)
    [told] = mail.outbox
    assert "KeyError at installs/work/runner.py" in told.subject and "Plum Street" not in told.body


def test_a_refusal_is_no_alarm(client: Client, settings: Any, sent: Queue[None]) -> None:
    settings.ADMINS = [("", "it@plains.example")]
    client.force_login(alma())
    assert client.get("/no/such/page/").status_code == 404
    assert client.post(reverse("job-open"), {"number": "31-14"}).status_code == 422
    assert sent.empty() and not mail.outbox
