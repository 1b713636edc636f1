"""The firm's log is one chain: what was altered, taken out, put between or written anew is found."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from django.db import OperationalError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from installs.people.firm_log import asked_from, firm_log_faults, write_firm_event
from installs.people.models import FirmEvent
from installs.people.throttle import OWN
from tests.make import alma, make_person

pytestmark = pytest.mark.django_db
AT = datetime(2031, 5, 5, 15, 0, tzinfo=UTC)


def a_log(lines: int = 5) -> list[FirmEvent]:
    by = alma()
    for n in range(lines):
        write_firm_event(
            "firm changed", f"Line {n}.", by=by, at=AT + timedelta(minutes=n), data={"n": [n, 1.0]}
        )
    return list(FirmEvent.objects.all())


def faults() -> list[str]:
    return firm_log_faults(FirmEvent.objects.order_by("sequence"))


def test_a_log_that_nobody_touched_is_whole() -> None:
    a_log()
    assert faults() == []


@pytest.mark.parametrize(
    "field, value",
    [
        ("what", "Nothing happened."),
        ("verb", "signed in"),
        ("who", "Somebody Else"),
        ("address", "10.0.0.9"),
        ("at", AT + timedelta(days=1)),
        ("data", {"n": [2, 2.0]}),
        ("by_id", None),
    ],
)
def test_an_altered_line_is_found_by_its_number(field, value) -> None:
    a_log()
    FirmEvent.objects.filter(sequence=3).update(**{field: value})
    assert faults() == ["line 3 was altered"]


def test_a_deleted_line_is_found() -> None:
    a_log()
    FirmEvent.objects.filter(sequence=3).delete()
    assert faults() == ["line 3 is missing", "line 4 does not follow the line before it"]


def test_a_line_put_between_is_found() -> None:
    lines = a_log()
    for line in reversed(lines[2:]):
        FirmEvent.objects.filter(pk=line.pk).update(sequence=line.sequence + 1)
    put = lines[1]
    put.pk, put.sequence = None, 3
    put.save(force_insert=True)
    assert "line 3 does not follow the line before it" in faults()


def test_the_same_instant_by_another_clock_is_the_same_line() -> None:
    by = alma()
    write_firm_event("signed in", "Signed in.", by=by, at=AT.astimezone(timezone(timedelta(hours=-5))))
    assert faults() == []


def test_a_line_holds_the_name_as_it_was_and_the_address_of_its_request() -> None:
    by = alma()
    with asked_from("192.0.2.7"):
        kept = write_firm_event("firm changed", "Phone changed.", by=by, at=AT)
    tried = write_firm_event("sign-in refused", "Name and password do not match.", by="alma\x00\ud800", at=AT)
    assert (kept.by, kept.who, kept.address) == (by, "Alma Reyes", "192.0.2.7")
    assert (tried.by, tried.who, tried.address) == (None, "alma??", "")
    assert faults() == []


def test_what_is_undone_leaves_no_line() -> None:
    by = alma()
    with pytest.raises(RuntimeError), transaction.atomic():
        write_firm_event("person changed", "Role changed.", by=by, at=AT)
        raise RuntimeError
    assert not FirmEvent.objects.exists()
    write_firm_event("person changed", "Role changed.", by=by, at=AT)
    assert faults() == []


def last_line() -> FirmEvent:
    line = FirmEvent.objects.order_by("sequence").last()
    assert line is not None
    return line


def test_signing_in_and_being_refused_are_lines_with_name_and_address(client) -> None:
    by = alma()
    by.set_password("a long word for one")
    by.save()
    client.post(reverse("sign-in"), {"username": by.username, "password": "wrong"}, REMOTE_ADDR="192.0.2.7")
    line = last_line()
    assert (line.verb, line.by, line.who, line.address) == (
        "sign-in refused", None, by.username, "192.0.2.7",
    )  # fmt: skip
    client.post(reverse("sign-in"), {"username": "nobody", "password": "wrong"})
    assert (last_line().who, last_line().data) == ("nobody", {})
    client.post(reverse("sign-in"), {"username": by.username, "password": "a long word for one"})
    assert (last_line().verb, last_line().by, last_line().who) == ("signed in", by, "Alma Reyes")
    assert "wrong" not in str(list(FirmEvent.objects.values())) and faults() == []


def test_tries_that_are_not_looked_at_are_one_line_a_quarter_hour(client) -> None:
    for _ in range(14):
        client.post(reverse("sign-in"), {"username": "alma", "password": "wrong"})
    verbs = list(FirmEvent.objects.values_list("verb", flat=True))
    assert verbs == ["sign-in refused"] * OWN.free + ["sign-in held off"]


def test_a_signed_in_person_who_is_refused_is_in_the_log_with_the_path(client) -> None:
    ben = make_person("Ben Osgood", "foreman")
    client.force_login(ben)
    assert client.get(reverse("people")).status_code == 403
    line = last_line()
    assert (line.verb, line.by, line.data) == ("refused", ben, {"path": "/people/"})


def test_what_of_another_page_was_sent_is_refused_and_in_the_log() -> None:
    ben, client = make_person("Ben Osgood", "foreman"), Client(enforce_csrf_checks=True)
    client.force_login(ben)
    assert client.post(reverse("sign-out")).status_code == 403
    assert last_line().by == ben


def test_a_refusal_is_answered_although_the_log_takes_no_line(client, monkeypatch) -> None:
    def locked(*args: object, **kwargs: object) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr("installs.people.middleware.write_refusal", locked)
    client.force_login(make_person("Ben Osgood", "foreman"))
    assert client.get(reverse("people")).status_code == 403


def test_a_line_reads_the_newest_one_only_however_long_the_log_is() -> None:
    by = alma()
    a_log(3)
    with CaptureQueriesContext(connection) as short:
        write_firm_event("signed in", "Signed in.", by=by, at=AT)
    a_log(200)
    with CaptureQueriesContext(connection) as long:
        write_firm_event("signed in", "Signed in.", by=by, at=AT)
    assert len(short) == len(long)
    asked = next(q["sql"] for q in long if "installs_firmevent" in q["sql"] and "LIMIT 1" in q["sql"])
    plan = connection.cursor().execute(f"EXPLAIN QUERY PLAN {asked}").fetchall()
    assert "INDEX" in str(plan) and "TEMP B-TREE" not in str(plan)
