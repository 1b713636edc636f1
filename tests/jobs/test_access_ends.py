"""Work on a job has an end, and so has the job: what happened before is taken, what comes after is not."""

from __future__ import annotations

import json
import uuid
from contextlib import suppress
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.jobs.getters import JobArchived, locked
from installs.jobs.models import Job, Member
from installs.jobs.services import (
    add_member,
    answer_deviation,
    archive_job,
    change_job,
    end_member,
    open_deviation,
    take_job_back,
)
from tests.make import alma, as_drawn, make_job, make_person, press

pytestmark = pytest.mark.django_db
PHONE = str(uuid.uuid4())
DAY = timedelta(days=1)


@pytest.fixture
def job(office, ben):
    return make_job(by=office, members=(ben,))


def send(client, job, happened, **fields):
    now = timezone.now().isoformat()
    entry = {
        "uuid": str(uuid.uuid4()), "job": job.number, "code": "B07", "number": 52.0,
        "taken_at": happened.isoformat(), **fields,
    }  # fmt: skip
    body = json.dumps({"device": PHONE, "now": now, "entries": [entry]})
    return client.post("/api/entries/", body, content_type="application/json").json()["answers"][0]


# --- a person's work on the job ---------------------------------------------------------------------


def read(client, page):
    """What the page of the job's people sends back beside the button."""
    return as_drawn(client, page, f"{page}#people")


def test_the_office_ends_it_and_begins_it_anew_on_the_jobs_page(client, office, ben, job):
    page, row = reverse("job-edit", args=[job.number]), job.members.get(person=ben)
    assert client.post(page, {**read(client, page), "end": row.pk}).status_code == 302
    assert not Job.objects.visible_to(ben).exists()
    assert "until" in client.get(page).content.decode()
    assert client.post(page, {**read(client, page), "again": row.pk}).status_code == 302
    assert Job.objects.visible_to(ben).get() == job
    said = [e.what for e in job.events.filter(verb__startswith="member")]
    assert said[-2:] == [
        f"{ben.full_name} works on the job no more.",
        f"{ben.full_name} works on the job again.",
    ]


def test_a_key_of_no_row_and_a_second_press_are_said(client, office, ben, job):
    page, row = reverse("job-edit", args=[job.number]), job.members.get(person=ben)
    old = read(client, page)
    assert client.post(page, {**old, "end": "x"}).status_code == 422
    client.post(page, {**old, "end": row.pk})
    stale = client.post(page, {**old, "form_id": str(uuid.uuid4()), "end": row.pk})
    assert stale.status_code == 409 and "until" in stale.content.decode()
    again = client.post(page, {**read(client, page), "end": row.pk})
    assert again.status_code == 422 and "does not work on this job" in again.content.decode()
    assert job.events.filter(verb="member ended").count() == 1


def test_whoever_has_been_ended_sees_the_job_no_more(client, office, ben, job):
    end_member(job, ben, by=office, at=timezone.now())
    client.force_login(ben)
    assert client.get(reverse("job-book", args=[job.number])).status_code == 404
    assert job.number not in client.get(reverse("day-sheet")).content.decode()


def test_what_happened_before_the_end_is_taken_and_marked_and_what_came_after_is_refused(
    client, office, ben, job
):
    """A fact is always recorded; what is not taken stays on the phone, and the job's log says so once."""
    now = timezone.now()
    end_member(job, ben, by=office, at=now - timedelta(hours=2))
    client.force_login(ben)
    before = send(client, job, now - timedelta(hours=3))
    assert before["state"] == "taken"
    assert "ended" in job.entries.get().noted["late"]
    again = {"uuid": str(uuid.uuid4())}
    for _ in range(2):
        after = send(client, job, now - timedelta(hours=1), **again)
        assert after["state"] == "refused" and "has not worked on job" in after["reason"]
    assert job.entries.count() == 1
    refused = job.events.get(verb="entry refused")
    assert ben.full_name in refused.what and "B07" in refused.what


def test_a_stranger_is_told_nothing(client, job):
    client.force_login(make_person("Cleo Stranger", "crew"))
    assert send(client, job, timezone.now())["reason"] == "No such job for you."
    assert not job.events.filter(verb="entry refused").exists()


def test_the_engineer_of_record_is_not_ended_before_another_is_named(client, office, ben):
    first, second = make_person("Ora Pell", "engineer"), make_person("Ida Moss", "engineer")
    job, at = make_job(by=office, engineer=first), timezone.now()
    with pytest.raises(ValidationError, match="engineer of record"):
        end_member(job, first, by=office, at=at)
    change_job(job, {"engineer": second}, by=office, at=at)
    end_member(job, first, by=office, at=at)
    assert not Job.objects.visible_to(first).exists()
    change_job(job, {"engineer": first}, by=office, at=at)
    assert Job.objects.visible_to(first).exists(), "named again, and sees it again"


def test_the_office_sees_every_job_whoever_works_on_it(office, job):
    add_member(job, office, by=office, at=timezone.now())
    end_member(job, office, by=office, at=timezone.now())
    assert Job.objects.visible_to(office).filter(pk=job.pk).exists()


# --- an archived job --------------------------------------------------------------------------------


def archived(job, office, days_ago=0):
    archive_job(job, by=office, at=timezone.now() - days_ago * DAY)
    job.refresh_from_db()
    return job


def test_an_archived_job_is_read_only_and_says_so_at_its_head(client, office, job):
    copy_lists(job, by=office, at=timezone.now())
    archived(job, office)
    day = f"{job.archived_on:%b} {job.archived_on.day}, {job.archived_on.year}"
    for page in ("job-book", "foundation", "pour", "tower", "job-lists"):
        shown = client.get(reverse(page, args=[job.number])).content.decode()
        assert f"Archived {day}; read only." in " ".join(shown.split())
    book = client.get(reverse("job-book", args=[job.number])).content.decode()
    assert 'value="start"' not in book
    assert "Save draft" not in client.get(reverse("foundation", args=[job.number])).content.decode()
    assert "Record the truck" not in client.get(reverse("pour", args=[job.number])).content.decode()


def test_no_service_changes_an_archived_job(office, job):
    archived(job, office)
    with pytest.raises(JobArchived, match="read only"):
        add_member(job, office, by=office, at=timezone.now())
    assert locked(job, archived_too=True) == job


def written(resolver, number):
    """Addresses of a job's views that ask for nothing but its number."""
    for each in resolver.url_patterns:
        if isinstance(each, URLResolver):
            yield from written(each, number)
        elif isinstance(each, URLPattern) and each.name:
            with suppress(NoReverseMatch):
                yield reverse(each.name, args=[number])


def test_nothing_that_is_posted_to_an_archived_job_leaves_a_trace(client, office, job):
    """Whatever the view and its form: the log and the record of the job end where they ended."""
    copy_lists(job, by=office, at=timezone.now())
    archived(job, office, days_ago=3)
    ends = job.events.count(), job.entries.count(), job.deviations.count(), Member.objects.count()
    paths = set(written(get_resolver(), job.number)) - {
        reverse(name, args=[job.number]) for name in ("job-archive", "archive-order")
    }
    assert len(paths) > 20
    for path in sorted(path for path in paths if job.number in path):
        for do in ("keep", "release", "add", "record", "save"):
            sent = {"do": do, do: "1", "uuid": str(uuid.uuid4())}
            assert client.post(path, sent).status_code < 500, (path, do)
    assert (job.events.count(), job.entries.count(), job.deviations.count(), Member.objects.count()) == ends


def test_where_no_form_says_it_a_page_does(client, office, job):
    archived(job, office)
    page = client.post(reverse("lists-copy", args=[job.number]))
    assert page.status_code == 409
    assert "read only" in page.content.decode()


def test_what_deviated_is_answered_in_an_archived_job_too(office, job):
    found = open_deviation(job, "a crack", "Seen at leg A.", by=office, at=timezone.now())
    archived(job, office)
    answer_deviation(found, "accept", "Sealed, and looked at again.", by=office, at=timezone.now())
    assert not job.deviations.get().is_open


def test_its_page_takes_the_answer_in_an_archived_job_too(client, office, job):
    found = open_deviation(job, "a crack", "Seen at leg A.", by=office, at=timezone.now())
    archived(job, office)
    page = reverse("deviation-answer", args=[job.number, found.number])
    answer = press(client, page, {"decision": "accept", "reason": "Sealed, and looked at again."})
    assert answer.status_code == 302 and not job.deviations.get().is_open


def test_what_happened_before_the_archiving_is_taken_and_what_came_after_is_refused(client, office, ben, job):
    archived(job, office, days_ago=3)
    client.force_login(ben)
    assert send(client, job, timezone.now() - 5 * DAY)["state"] == "taken"
    assert "archived" in job.entries.get().noted["late"]
    after = send(client, job, timezone.now() - DAY)
    assert after["state"] == "refused" and "was archived" in after["reason"]
    with pytest.raises(ValidationError, match="was archived"):
        take_entry(
            job, by=office, received_at=timezone.now(), taken_at=timezone.now(), code="B07", number=52.0
        )
    assert job.entries.count() == 1


def test_the_office_takes_a_job_back(client, office, job):
    archived(job, office)
    url, page = (reverse(name, args=[job.number]) for name in ("job-archive", "job-edit"))
    assert press(client, url, {"back": ""}, page=page).status_code == 302
    job.refresh_from_db()
    assert job.archived_on is None
    assert job.events.get(verb="job taken back").by == office
    add_member(job, make_person(), by=office, at=timezone.now())
    with pytest.raises(ValidationError):
        take_job_back(job, by=alma(), at=timezone.now())
