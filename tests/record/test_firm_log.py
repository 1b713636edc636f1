"""The firm's log: its page and file, the nightly check, the look-ahead's word, the backup's end of it."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from io import StringIO
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.core.management import CommandError, call_command
from django.db.models import F
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from installs.people.firm_log import ON_THE_SERVER, firm_event_hash, write_firm_event
from installs.people.models import FirmEvent, User
from installs.record.backup import back_up
from installs.record.services import check_firm_log
from tests.make import AT, alma, make_job, make_person

pytestmark = pytest.mark.django_db


def a_log(lines: int = 6, by: User | None = None) -> User:
    by = by or alma()
    for n in range(lines):
        write_firm_event("firm changed", f"Phone {n}.", by=by, at=AT + timedelta(hours=n))
    return by


def sealed_anew(after: int = 0) -> None:
    """By one who knows how: every hash from there on fits again."""
    previous = "0" * 64
    for line in FirmEvent.objects.order_by("sequence"):
        if line.sequence > after:
            line.previous_hash = previous
            line.hash = firm_event_hash(line)
            line.save()
        previous = line.hash


def insert() -> None:
    for line in FirmEvent.objects.filter(sequence__gt=3).order_by("-sequence"):
        FirmEvent.objects.filter(pk=line.pk).update(sequence=F("sequence") + 1)
    put = FirmEvent.objects.get(sequence=3)
    put.pk, put.sequence, put.previous_hash = None, 4, put.hash
    put.hash = firm_event_hash(put)
    put.save(force_insert=True)


def rewrite() -> None:
    FirmEvent.objects.filter(sequence=2).update(what="Nothing.")
    sealed_anew()


def cut_and_go_on() -> None:
    FirmEvent.objects.filter(sequence__gt=4).delete()
    a_log(4)


ENDED = "line 6 that ended it on May 6, 2031, is gone or is another"
DAMAGES: dict[str, tuple[Callable[[], object], str]] = {
    "altered": (lambda: FirmEvent.objects.filter(sequence=2).update(what="No."), "line 2 was altered"),
    "deleted": (lambda: FirmEvent.objects.filter(sequence=2).delete(), "line 2 is missing"),
    "first one deleted": (lambda: FirmEvent.objects.filter(sequence=1).delete(), "line 1 is missing"),
    "inserted": (insert, "line 5 does not follow the line before it"),
    "cut": (lambda: FirmEvent.objects.filter(sequence__gt=4).delete(), ENDED),
    "cut and gone on with": (cut_and_go_on, ENDED),
    "all of it gone": (lambda: FirmEvent.objects.all().delete(), ENDED),
    "rewritten from there on": (rewrite, ENDED),
}


@pytest.mark.parametrize("name", DAMAGES)
def test_whatever_is_done_to_the_log_is_found(name: str) -> None:
    a_log()
    assert check_firm_log(at=AT + timedelta(days=1)).faults == []
    damage, said = DAMAGES[name]
    damage()
    assert said in check_firm_log(at=AT + timedelta(days=2)).faults
    # and stays found: a broken log is measured against where it ended when it was whole
    assert said in check_firm_log(at=AT + timedelta(days=3)).faults


def test_a_log_longer_than_one_look_is_whole(monkeypatch) -> None:
    monkeypatch.setattr("installs.people.firm_log.AT_A_TIME", 4)
    a_log(11)
    check = check_firm_log(at=AT)
    assert (check.faults, check.lines, check.end, check.in_words) == ([], 11, 11, "11 lines, whole")


def test_the_command_says_so_and_ends_with_a_fault() -> None:
    a_log()
    out = StringIO()
    call_command("chains", stdout=out)
    assert "Firm's log  6 lines, whole" in out.getvalue()
    FirmEvent.objects.filter(sequence=2).update(what="No.")
    with pytest.raises(CommandError, match="The firm's log is broken"):
        call_command("chains", stdout=StringIO())


def test_the_office_is_told_on_the_look_ahead_and_on_the_page(client) -> None:
    client.force_login(a_log())
    assert b"Not checked yet" in client.get(reverse("firm-log")).content
    check_firm_log(at=AT)
    assert b"6 lines, whole" in client.get(reverse("firm-log")).content
    assert b"is broken" not in client.get(reverse("look-ahead")).content
    FirmEvent.objects.filter(sequence=2).update(what="No.")
    check_firm_log(at=AT + timedelta(days=1))
    said = client.get(reverse("look-ahead")).content.decode()
    assert "The firm&#x27;s log is broken: line 2 was altered" in said
    assert b"line 2 was altered" in client.get(reverse("firm-log")).content
    client.force_login(make_person())
    assert b"is broken" not in client.get(reverse("look-ahead")).content


@pytest.mark.django_db(transaction=True)
def test_a_backup_holds_where_the_log_ended(tmp_path) -> None:
    a_log()
    manifest = back_up(tmp_path / "b.tar", at=AT)
    last = FirmEvent.objects.get(sequence=6)
    assert manifest.ends["firm's log"] == {"": [6, last.hash]}


@pytest.mark.parametrize("role", ["foreman", "crew", "electrician", "engineer"])
@pytest.mark.parametrize("page", ["firm-log", "firm-log-csv"])
def test_the_log_is_the_offices(client, role: str, page: str) -> None:
    client.force_login(make_person("Uma Role", role))
    assert client.get(reverse(page)).status_code == 403


def test_the_page_is_newest_first_in_sheets_that_keep_what_was_asked(client) -> None:
    client.force_login(a_log(120))
    page = client.get(reverse("firm-log"), {"kind": "firm settings", "sheet": "2"})
    assert [line.sequence for line in page.context["sheet"]] == list(range(70, 20, -1))
    assert b"?kind=firm+settings&amp;sheet=3" in page.content


def shown(client, **asked: str) -> list[str]:
    page = client.get(reverse("firm-log"), asked)
    assert page.status_code == 200
    return [line.what for line in page.context["sheet"]]


def test_it_is_filtered_by_whom_it_is_by_or_about_and_by_kind_and_day(client) -> None:
    by, ben = alma(), make_person()
    make_job(by=by, zone="America/Chicago")
    # 11:30 PM in Chicago is the next day in UTC
    late = AT.astimezone(ZoneInfo("America/Chicago")).replace(hour=23, minute=30)
    write_firm_event("password set", "Password of Ben set.", by=by, at=AT, data={"person": ben.pk})
    write_firm_event("signed in", "Signed in.", by=ben, at=late)
    write_firm_event("sign-in refused", "Refused.", by="nobody", at=AT + timedelta(days=2))
    client.force_login(by)
    assert shown(client, person=str(ben.pk)) == ["Signed in.", "Password of Ben set."]
    assert shown(client, kind="sign-ins") == ["Refused.", "Signed in."]
    may_5 = {"first_on": "2031-05-05", "last_on": "2031-05-05"}
    assert shown(client, **may_5) == ["Signed in.", "Password of Ben set."]
    assert shown(client, first_on="2031-05-06") == ["Refused."]


@pytest.mark.parametrize(
    "asked", [{"person": "9" * 30}, {"kind": "no"}, {"first_on": "yesterday"},
              {"first_on": "2031-05-06", "last_on": "2031-05-05"}],
)  # fmt: skip
def test_what_cannot_be_asked_is_said_at_its_field(client, asked) -> None:
    client.force_login(a_log())
    page = client.get(reverse("firm-log"), asked)
    assert page.status_code == 422 and page.context["form"].errors


def test_the_file_has_every_line_and_nothing_that_a_spreadsheet_runs(client) -> None:
    by = a_log(60)
    write_firm_event("sign-in refused", "Refused.", by="=cmd|'/c calc'!a1", at=AT)
    write_firm_event(
        "person changed", "-2+3", by=ON_THE_SERVER, at=AT, data={"changed": {"role": ["crew", "office"]}}
    )
    client.force_login(by)
    rows = list(csv.reader(io.StringIO(client.get(reverse("firm-log-csv")).content.decode())))
    assert len(rows) == 63 and rows[0][:3] == ["line", "at, UTC", "who"]
    assert rows[1][5] == "'-2+3" and '"role": ["crew", "office"]' in rows[1][6]
    assert rows[2][2] == "'=cmd|'/c calc'!a1"
    assert not [cell for row in rows for cell in row if cell[:1] in "=+-@\t\r" and cell]


def test_who_goes_through_the_numbers_of_jobs_is_in_the_log_and_one_line_of_its_page(client):
    """The page tells nobody that a job is there (404); the office is told who asked."""
    theirs, other, ben = make_job(), make_job(), make_person()
    theirs.members.create(person=ben, since=AT)
    asks = Client()
    asks.force_login(ben)
    paths = [reverse("job-book", args=[n]) for n in (other.number, "1999-001", "1999-002")]
    for path in [*paths, *paths, reverse("permits", args=[other.number])]:
        assert asks.get(path).status_code == 404
    assert asks.get(reverse("job-book", args=[theirs.number])).status_code == 200
    lines = FirmEvent.objects.filter(verb="refused", by=ben)
    assert lines.count() == 4, "the same question within the hour tells nothing new"
    assert lines.first().what == f"No job of theirs: GET {paths[0]}"
    office = alma()
    client.force_login(office)
    page = client.get(reverse("firm-log"), {"kind": "refusals"})
    assert [line.alike for line in page.context["sheet"]] == [4]
    assert "and 3 more like it within the hour" in " ".join(page.content.decode().split())
    each = client.get(reverse("firm-log"), {"kind": "refusals", "each": "on"})
    assert len(each.context["sheet"].object_list) == 4
    rows = list(csv.reader(io.StringIO(client.get(reverse("firm-log-csv")).content.decode())))
    assert sum("No job of theirs" in row[5] for row in rows) == 4


def test_a_phone_that_names_anothers_job_is_in_the_log(client):
    other, ben = make_job(), make_person()
    client.force_login(ben)
    entry = {
        "uuid": str(uuid4()),
        "job": other.number,
        "code": "D03",
        "number": 4,
        "taken_at": AT.isoformat(),
    }
    sent = {"device": str(uuid4()), "clock": timezone.now().isoformat(), "entries": [entry]}
    answer = client.post(reverse("api-entries"), sent, content_type="application/json").json()
    assert answer["answers"][0]["reason"] == "No such job for you."
    assert FirmEvent.objects.get(verb="refused").what == f"No job of theirs: an entry for {other.number}"


def test_refusals_of_two_people_or_two_hours_are_not_one_line(client):
    office, ben, gus = alma(), make_person(), make_person("Gus Pruitt", "crew")
    at = AT.replace(minute=5)
    for person, hours in ((ben, 0), (ben, 0), (ben, 1), (gus, 0)):
        write_firm_event("refused", "Refused: GET /people/", by=person, at=at + timedelta(hours=hours))
    a_log(3, by=office)
    client.force_login(office)
    told = [(line.who, line.alike) for line in client.get(reverse("firm-log")).context["sheet"]]
    assert told == [(office.full_name, 1)] * 3 + [("Gus Pruitt", 1), ("Ben Osgood", 1), ("Ben Osgood", 2)]
