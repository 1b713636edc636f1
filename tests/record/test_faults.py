"""The record as it was written: whatever is altered, taken out, put in or rewritten afterwards is found."""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Callable
from datetime import timedelta
from io import StringIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db.models import F
from django.urls import reverse
from django.utils import timezone

from installs.checklists.models import Device, Entry
from installs.checklists.services import line_hash, record
from installs.files.models import StoredFile
from installs.files.services import store_bytes
from installs.jobs import sealing, services
from installs.jobs.models import DesignRevision, Event, Job
from installs.permits.models import Permit, PermitKind
from installs.record.files import NAMED_BY, NO_JOBS
from installs.record.models import RecordCheck
from installs.record.services import check_record
from installs.work.models import WorkRequest
from installs.work.registry import nightly_kinds
from installs.work.runner import work_one
from installs.work.services import request_nightly
from sitecalc.checks import Known, Rule
from tests.make import AT, alma, make_job, make_person

pytestmark = pytest.mark.django_db

INPUTS = {"side_ft": 15.0}


def written(**fields) -> Job:
    """A job with a log, a field record with corrections, and a release that an acceptance let through."""
    job, engineer, ben = make_job(**fields), make_person("P. Lindqvist", "engineer"), make_person()
    frost = Rule("frost", "Frost", "ft", "test", Known.PRACTICE).compare(demand=4.5, capacity=3.0)
    services.accept_draft_check(job, "foundation", INPUTS, frost, "insulated", by=engineer, at=AT)
    services.release_design(job, "foundation", INPUTS, {"yards": 33.3}, [frost], by=alma(), at=AT)
    phone = Device.objects.create(uuid=uuid.uuid4(), person=ben, heard_at=AT, skew_s=90)
    first = None
    for number in (4.0, 5, 4.5):
        first = record(
            job, code="slump", by=ben, taken_at=AT, received_at=AT, number=number, device=phone,
            corrects=first.entry.uuid if first else None,
        )  # fmt: skip
    return job


def faults(job: Job) -> list[str]:
    return check_record(Job.objects.get(pk=job.pk), at=timezone.now()).faults


def test_what_nobody_touched_is_whole():
    assert faults(written()) == []


def insert_event(job: Job) -> None:
    """A line between two others, sealed as a line is, by someone who knows how."""
    for event in job.events.filter(sequence__gt=2).order_by("-sequence"):
        Event.objects.filter(pk=event.pk).update(sequence=F("sequence") + 1)
    before = job.events.get(sequence=2)
    event = Event(
        job=job, sequence=3, verb="note", what="nothing", by=before.by, at=AT, previous_hash=before.hash
    )
    event.hash = sealing.event_hash(event)
    event.save()


def rewrite_event(job: Job) -> None:
    event = job.events.get(sequence=2)
    event.what = "nothing happened"
    event.hash = sealing.event_hash(event)
    event.save()


def insert_entry(job: Job) -> None:
    Entry.objects.filter(job=job, sequence=3).update(sequence=4)
    before = job.entries.get(sequence=2)
    entry = Entry(
        job=job, sequence=3, code="slump", person=before.person, taken_at=AT, received_at=AT,
        content_hash="0" * 64, previous_hash=before.hash,
    )  # fmt: skip
    entry.hash = line_hash(entry)
    entry.save()


def rewrite_entry(job: Job) -> None:
    entry = job.entries.get(sequence=2)
    entry.received_at += timedelta(minutes=1)
    entry.hash = line_hash(entry)
    entry.save()


LATER = AT + timedelta(minutes=15)
DAMAGES: dict[str, tuple[Callable[[Job], object], str]] = {
    "words of a line": (
        lambda job: job.events.filter(sequence=2).update(what="no"),
        "Log: line 2 was altered",
    ),
    "data of a line": (
        lambda job: job.events.filter(sequence=3).update(data={}),
        "Log: line 3 was altered",
    ),
    "facts of a line that are none any more": (
        lambda job: job.events.update(data=["no facts"]),
        "Log: line 3 was altered",
    ),
    "an entry's number that is none": (
        lambda job: job.entries.filter(sequence=2).update(number=float("inf")),
        "Field record: entry 2 was altered",
    ),
    "an entry's facts that are none": (
        lambda job: job.entries.filter(sequence=2).update(data="no facts"),
        "Field record: entry 2 was altered",
    ),
    # by as much as one clock differs from another
    "instant of a line": (
        lambda job: job.events.filter(sequence=1).update(at=LATER),
        "Log: line 1 was altered",
    ),
    "who wrote a line": (
        lambda job: job.events.filter(sequence=1).update(by=make_person()),
        "Log: line 1 was altered",
    ),
    "a line taken out": (lambda job: job.events.filter(sequence=2).delete(), "Log: line 2 is missing"),
    "a line put in": (insert_event, "Log: line 4 does not follow the line before it"),
    "a line rewritten": (rewrite_event, "Log: line 3 does not follow the line before it"),
    "an entry's number": (
        lambda job: job.entries.filter(sequence=2).update(number=6.0),
        "Field record: entry 2 was altered",
    ),
    "when an entry was taken": (
        lambda job: job.entries.filter(sequence=1).update(taken_at=LATER),
        "Field record: entry 1 was altered",
    ),
    "the phone's clock": (
        lambda job: job.entries.filter(sequence=1).update(skew_s=0),
        "Field record: entry 1 does not follow the entry before it",
    ),
    "an entry taken out": (
        lambda job: job.entries.filter(sequence=1).update(job=make_job()),
        "Field record: entry 1 is missing",
    ),
    "an entry put in": (insert_entry, "Field record: entry 4 does not follow the entry before it"),
    "an entry rewritten": (rewrite_entry, "Field record: entry 3 does not follow the entry before it"),
    "a release's figures": (
        lambda job: job.revisions.update(inputs={"side_ft": 14.0}),
        "Releases: foundation release A was altered",
    ),
    "a release's verdict": (
        lambda job: job.revisions.update(checks=[]),
        "Releases: foundation release A was altered",
    ),
    "an acceptance's reason": (
        lambda job: job.revisions.get().acceptances.update(reason="other"),
        "Acceptances: frost of foundation release A is not as the engineer gave it",
    ),
    "who accepted": (
        lambda job: job.revisions.get().acceptances.update(engineer=make_person(role="engineer")),
        "Acceptances: frost of foundation release A is not as the engineer gave it",
    ),
}


@pytest.mark.parametrize(("damage", "words"), DAMAGES.values(), ids=DAMAGES)
def test_each_way_of_changing_it_is_found_and_named(damage, words):
    job = written()
    damage(job)
    assert words in faults(job)


def test_a_files_bytes_are_gone_over_too_and_heal_when_they_are_sent_again():
    job, content = written(), b"%PDF-1.7 a letter %%EOF"
    letter = store_bytes(content, "application/pdf", "letter.pdf", by=alma(), at=AT)
    Permit.objects.create(
        job=job, kind=PermitKind.BUILDING, asked_of="county", asked_on=AT.date(), file=letter
    )
    assert faults(job) == []
    Path(default_storage.path(letter.storage_name)).write_bytes(content[:9])
    assert faults(job) == ["Files: letter.pdf: cut short, 9 of 23 bytes"]
    store_bytes(content, "application/pdf", "letter.pdf", by=alma(), at=AT)
    assert faults(job) == []


def test_every_file_that_anything_names_is_gone_over():
    named = {
        (model._meta.label, field.name)
        for model in apps.get_models()
        for field in model._meta.fields
        if field.related_model is StoredFile
    }
    assert named == {(label, field) for label, field, _ in NAMED_BY} | set(NO_JOBS)


def test_a_release_sealed_anew_is_not_the_one_that_the_log_knows():
    job = written()
    release = job.revisions.get()
    release.inputs = {"side_ft": 14.0}
    release.sha256 = sealing.release_hash(release)
    release.save()
    [line] = job.events.filter(verb="design released").values_list("sequence", flat=True)
    assert f"Releases: foundation release A is not the one of line {line} of the log" in faults(job)


def test_a_release_and_its_line_go_together():
    job, other = written(), make_job()
    DesignRevision.objects.filter(job=job).update(job=other)
    assert "Releases: foundation release A is in no line of the log" in faults(other)
    assert any("foundation release A of line" in words and "is gone" in words for words in faults(job))


@pytest.mark.parametrize("lines", ["events", "entries"])
def test_what_is_taken_from_the_end_is_missed_at_the_next_check_and_at_every_one_after(lines):
    """A chain without its last line is a whole chain: only who saw the end knows."""
    job = written()
    assert faults(job) == []
    last = getattr(job, lines).order_by("-sequence").first()
    last.delete()
    for _ in range(2):
        [words] = [words for words in faults(job) if f"{last.sequence} that ended it" in words]
        assert words.endswith("is gone or is another")
    services.change_job(job, {"owner": "Another"}, by=alma(), at=AT)
    assert faults(job)


def test_lines_of_an_earlier_version_are_held_to_what_they_were_sealed_with():
    """Sealed over their instant with the offset of whoever wrote them, and without the phone's clock."""
    job = written(zone="America/Denver")
    previous = "0" * 64
    offices = [ZoneInfo(name) for name in ("America/Denver", "Asia/Kathmandu", "America/St_Johns", "UTC")]
    for event, office in zip(job.events.order_by("sequence"), offices, strict=False):
        at = event.at.astimezone(office).isoformat()
        line = [job.pk, event.sequence, event.verb, event.what, event.data, event.by_id, at, previous]
        sealed = json.dumps(line, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        event.previous_hash, event.hash = previous, hashlib.sha256(sealed.encode()).hexdigest()
        event.save()
        previous = event.hash
    previous = "0" * 64
    for entry in job.entries.order_by("sequence"):
        line = [str(entry.uuid), entry.sequence, entry.content_hash, "2031-05-05T15:00:00+00:00", previous]
        sealed = json.dumps(line, separators=(",", ":"))
        entry.previous_hash, entry.hash = previous, hashlib.sha256(sealed.encode()).hexdigest()
        entry.save()
        previous = entry.hash
    services.change_job(job, {"owner": "Another"}, by=alma(), at=AT)
    assert faults(job) == []
    job.events.filter(sequence=2).update(at=AT + timedelta(hours=1))
    job.entries.filter(sequence=2).update(received_at=AT + timedelta(hours=1))
    assert faults(job)[:2] == [
        "Log: line 2 was altered",
        "Field record: entry 2 does not follow the entry before it",
    ]


def test_a_line_is_sealed_over_its_instant_whatever_clock_its_writer_goes_by():
    job = make_job(at=AT.astimezone(ZoneInfo("America/Chicago")))
    event = job.events.get()
    assert event.hash == sealing.event_hash(Event.objects.get(pk=event.pk))


def test_a_job_under_a_new_number_keeps_its_record():
    job = written(number="2031-970")
    services.change_job(job, {"number": "2031-971"}, by=alma(), at=AT)
    services.change_job(job, {"number": "2031-972"}, by=alma(), at=AT)
    job.refresh_from_db()
    record(job, code="slump", by=make_person(), taken_at=AT, received_at=AT, number=4.0)
    assert faults(job) == []


def test_the_command_says_what_is_broken_and_fails():
    whole, broken = written(number="2031-980"), written(number="2031-981")
    broken.events.filter(sequence=2).update(what="no")
    said = StringIO()
    with pytest.raises(CommandError, match=r"^The record of 1 job is broken\.$"):
        call_command("chains", stdout=said)
    assert said.getvalue().splitlines() == [
        "2031-980  3 log lines, 3 entries, whole (1 release)",
        "2031-981  3 log lines, 3 entries, broken (1 release)",
        "  Log: line 2 was altered.",
        "  Acceptances: frost of foundation release A is not as the engineer gave it.",
        "Firm's log  0 lines, whole",
    ]
    call_command("chains", whole.number, stdout=said)
    with pytest.raises(CommandError, match="no job 2031-999"):
        call_command("chains", "2031-999", stdout=said)


@pytest.fixture
def gone_over_only(monkeypatch):
    """Of the nightly work the one that these tests are about; backups have tests of their own."""
    kinds = [kind for kind in nightly_kinds() if kind.name == "record.check"]
    monkeypatch.setattr("installs.work.services.nightly_kinds", lambda: kinds)


def test_every_night_each_record_is_gone_over_once_and_the_time_kept(gone_over_only):
    job = written()
    archived = make_job(archived_on=AT.date())
    for hours in (0, 1, 23):  # any number of looks in a night
        request_nightly(at=AT + timedelta(hours=hours) - timedelta(hours=6))
    assert work_one("papers")
    assert not work_one("papers")
    request = WorkRequest.objects.get()
    assert request.result == {"jobs": 2, "broken": [], "firm": [], "leftovers": 0}
    checks = RecordCheck.objects.order_by("job")
    assert [c.job for c in checks] == [job, archived]
    assert all(request.started_at <= c.checked_at <= request.finished_at for c in checks)
    request_nightly(at=AT + timedelta(hours=18))
    assert work_one("papers")


def test_a_nightly_look_that_failed_waits_for_the_next_night(gone_over_only):
    request_nightly(at=AT)
    WorkRequest.objects.update(state="failed")
    request_nightly(at=AT + timedelta(hours=1))
    assert WorkRequest.objects.get().state == "failed"


def test_the_job_book_says_when_and_what(client):
    client.force_login(alma())
    job = written()
    url = reverse("job-book", args=[job.number])
    assert "Record not yet checked." in client.get(url).content.decode()
    check_record(job, at=AT)
    page = client.get(url).content.decode()
    assert "Record checked Mon May 5, 2031 10:00 AM: 3 log lines, 3 entries, whole." in page
    job.events.filter(sequence=2).update(what="no")
    check_record(job, at=AT)
    assert "Log: line 2 was altered." in client.get(url).content.decode()


def test_a_broken_record_is_on_the_offices_morning_page(client):
    client.force_login(alma())
    job = written()
    check_record(job, at=AT)
    assert "The record is broken" not in client.get(reverse("look-ahead")).content.decode()
    job.events.filter(sequence=2).update(what="no")
    check_record(job, at=AT + timedelta(minutes=1))
    page = client.get(reverse("look-ahead")).content.decode()
    assert "The record is broken: Log: line 2 was altered, and 1 more." in page


def noted() -> Job:
    """An entry that came late, beside two of which nothing is noted."""
    job, ben = make_job(), make_person()
    for words in ({}, {"late": "received after the job was archived May 5, 2031"}, {}):
        record(job, code="slump", by=ben, taken_at=AT, received_at=AT, number=4.0, noted=words)
    return job


def test_what_was_noted_beside_an_entry_is_in_the_log_and_held_to_it():
    job = noted()
    assert faults(job) == []
    line = job.events.get(verb="entry noted")
    assert "received after the job was archived" in line.what and line.by.full_name == "Ben Osgood"


@pytest.mark.parametrize(
    "altered", [{}, {"late": "received in time"}, {"late": "", "not judged": "x"}], ids=str
)
@pytest.mark.parametrize("sequence", [1, 2])
def test_whatever_is_altered_beside_an_entry_is_found(sequence, altered):
    job = noted()
    stood = job.entries.get(sequence=sequence).noted
    job.entries.filter(sequence=sequence).update(noted=altered)
    fault = f"Field record: line {sequence}: what stands beside it is not what the log says was noted"
    assert faults(job) == ([] if altered == stood else [fault])


def test_a_note_taken_out_of_the_log_is_found():
    job = noted()
    job.events.filter(verb="entry noted").delete()
    found = faults(job)
    assert any("line 2: what stands beside it" in each for each in found)


def test_what_was_noted_by_an_earlier_version_gets_its_line():
    """Those entries are as they were sealed; from the migration on what stands beside them is held too."""
    from importlib import import_module

    job = noted()
    job.events.filter(verb="entry noted").delete()
    job.events.all().delete()
    import_module("installs.migrations.0023_notes_in_the_log").into_the_log(apps, None)
    assert faults(job) == [] and job.events.get().verb == "entry noted"
    job.entries.update(noted={})
    assert len(faults(job)) == 1
