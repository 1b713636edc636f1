"""A job's archive is read without this program: it holds what the database holds, to the last hash."""

from __future__ import annotations

import csv
import errno
import hashlib
import io
import json
import os
import zipfile
from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from typing import Any, BinaryIO

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.db import connection, transaction
from django.urls import reverse

from installs.checklists.services import copy_lists, record
from installs.export.archive import NotWhole, verify
from installs.export.services import newest, order_archive
from installs.export.tables import Table, tables
from installs.files.services import store_bytes
from installs.inspection.models import MeterReading
from installs.jobs.models import Job
from installs.jobs.services import archive_job, change_job, open_deviation, write_event
from installs.papers.models import Paper
from installs.papers.services import keep_printed, order_paper
from installs.permits.models import Permit, PermitKind
from installs.record.unfinished import private
from installs.work.models import WorkRequest
from installs.work.runner import Work, work_one
from tests.make import AT, alma, as_drawn, make_person, make_release
from tests.record.test_faults import written

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def job(settings, tmp_path) -> Job:
    """With entries under two numbers, a photo, a letter, a paper, readings of its meters; archived."""
    settings.VAR_DIR = tmp_path
    with transaction.atomic():
        office = alma()
        job = written(number="2031-940")
        copy_lists(job, by=office, at=AT)
        photo = store_bytes(b"stands for a picture", "image/jpeg", "IMG_1.jpg", by=office, at=AT)
        change_job(job, {"number": "2031-941"}, by=office, at=AT)
        job.refresh_from_db()
        ben = make_person()
        record(
            job, code="D14", subject="leg A", number=-0.25, by=ben, taken_at=AT, received_at=AT, photo=photo,
            text="=HYPERLINK()",
        )  # fmt: skip
        letter = store_bytes(b"%PDF-1.7 a letter %%EOF", "application/pdf", "county.pdf", by=office, at=AT)
        Permit.objects.create(
            job=job, kind=PermitKind.BUILDING, asked_of="county", asked_on=AT.date(), file=letter
        )
        MeterReading.objects.create(
            job=job, read_on=AT.date(), production_kwh=120.5, recorded_by=office, recorded_at=AT
        )
        open_deviation(job, "frozen edge", "blanket blew off", by=office, at=AT).answers.create(
            decision="repair", reason="cut back", answered_by=office, answered_at=AT
        )
        make_release(job, "site", by=office, inputs={"state": "ND"})
        paper = order_paper(job, "checklists", by=office, at=AT)
        keep_printed(paper, b"%PDF-1.7 stands for the paper", 11, at=AT)
        WorkRequest.objects.update(state="done")
        archive_job(job, by=office, at=AT)
    return job


def archive_of(job: Job) -> zipfile.ZipFile:
    order_archive(job, by=alma(), at=AT)
    assert work_one("papers")
    found = newest(job)
    assert found is not None and found.file, found and found.work.error
    return zipfile.ZipFile(io.BytesIO(Path(default_storage.path(found.file)).read_bytes()))


def digest(value: object) -> str:
    """As README.txt says it."""
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def rows(archive: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(archive.read(f"{name}.csv").decode())))


def test_every_row_of_every_table_is_in_it_and_each_as_csv_too(job) -> None:
    archive = archive_of(job)
    told = json.loads(archive.read("job.json"))
    assert (told["job"], told["numbers"]) == ("2031-941", ["2031-941", "2031-940"])
    for table in tables():
        there = list(table.rows(job))
        if table.label == "installs.RecordCheck":  # that of the archive is written once it was gathered
            continue
        kept = told["tables"][table.name]["rows"]
        assert [row["id"] for row in kept] == [row.pk for row in there], table.name
        if there:
            assert [int(row["id"]) for row in rows(archive, table.name)] == [row.pk for row in there]
    [reading] = rows(archive, "meter readings")
    assert (reading["production_kwh"], reading["recorded_by"]) == ("120.5", "Alma Reyes")
    assert reading["recorded_at"] == "2031-05-05T10:00:00-05:00"
    assert rows(archive, "entries")[-1]["text"] == "'=HYPERLINK()"
    assert told["tables"]["deviation answers"]["rows"][0]["reason"] == "cut back"
    assert "password" not in archive.read("job.json").decode()


def test_whatever_points_to_a_job_is_a_table_of_it() -> None:
    """But for the work that was asked for, and what is the firm's own."""
    found = {table.label for table in tables()}
    pointing = {
        model._meta.label
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if field.related_model is not None and field.related_model._meta.label in found
    }
    assert pointing <= found and len(found) > 30
    assert all(isinstance(table, Table) and table.name for table in tables())
    assert len({table.name for table in tables()}) == len(found)


def test_the_chains_are_followed_from_the_archive_alone(job) -> None:
    told = json.loads(archive_of(job).read("job.json"))
    held, previous = {name: table["rows"] for name, table in told["tables"].items()}, "0" * 64
    for line in held["log"]:
        words = [line[name] for name in ("sequence", "verb", "what", "data")]
        sealed = [held["job"][0]["id"], *words, line["by"]["id"], line["at"], previous]
        assert line["hash"] == digest(sealed) and line["previous_hash"] == previous
        previous = line["hash"]
    previous = "0" * 64
    for entry in held["entries"]:
        said = [entry[name] for name in ("sealed_under", "code", "subject", "number", "unit", "text", "data")]
        photo, corrects = entry["photo"] or {}, entry["corrects"] or {}
        by = [photo.get("sha256", ""), corrects.get("uuid", ""), entry["taken_at"], entry["person"]["id"]]
        content = digest([*said, *by])
        phone = (entry["device"] or {}).get("uuid", "")
        line = [entry["uuid"], entry["sequence"], content, entry["received_at"], entry["skew_s"], phone]
        assert (entry["content_hash"], entry["hash"]) == (content, digest([*line, previous]))
        previous = entry["hash"]
    assert [entry["sealed_under"] for entry in held["entries"]] == [*["2031-940"] * 3, "2031-941"]
    for release in held["releases"]:
        frozen = {name: release[name] for name in ("inputs", "results", "checks", "stands_on")}
        assert release["sha256"] == digest({k: v for k, v in frozen.items() if v or k != "stands_on"})


def test_files_have_names_that_a_person_reads_and_are_whole(job) -> None:
    archive = archive_of(job)
    [photo] = [name for name in archive.namelist() if name.startswith("photos/")]
    assert photo.startswith("photos/D14 ") and photo.endswith(", leg A, 2031-05-05, entry 4.jpg")
    assert archive.read(photo) == b"stands for a picture"
    told = json.loads(archive.read("job.json"))["tables"]
    [paper] = told["papers"]["rows"]
    assert archive.read(paper["file"]["file"]) == b"%PDF-1.7 stands for the paper"
    kept = Paper.objects.get(pk=paper["id"])
    assert json.loads(archive.read(paper["figures"])) == kept.inputs
    assert hashlib.sha256(archive.read(paper["figures"])).hexdigest() == kept.inputs_sha256
    assert archive.read(told["permits"]["rows"][0]["file"]["file"]).startswith(b"%PDF-1.7 a letter")
    sums = dict(line.split("  ", 1)[::-1] for line in archive.read("SHA256SUMS").decode().splitlines())
    assert set(sums) == set(archive.namelist()) - {"SHA256SUMS"}
    assert all(hashlib.sha256(archive.read(name)).hexdigest() == said for name, said in sums.items())


def test_the_readme_says_how_the_record_stands_and_what_is_spoiled(job) -> None:
    assert "It is whole" in archive_of(job).read("README.txt").decode()
    job.events.filter(sequence=2).update(what="no")
    letter = Permit.objects.get().file
    Path(default_storage.path(letter.storage_name)).write_bytes(b"%PDF-1.7")
    said = archive_of(job).read("README.txt").decode()
    assert "BROKEN" in said and "  - Log: line 2 was altered." in said
    assert "NOT AS THEY WERE TAKEN" in said and "  - letters/" in said


def test_an_archive_that_does_not_hold_what_was_put_in_is_not_given(job, tmp_path) -> None:
    found, other = archive_of(job), tmp_path / "other.zip"
    assert verify(Path(default_storage.path(newest(job).file))) == len(found.namelist()) - 1
    with zipfile.ZipFile(other, "w") as made:
        for name in found.namelist():
            made.writestr(name, found.read(name) + (b" " if name == "log.csv" else b""))
    with pytest.raises(NotWhole, match=r"log\.csv"):
        verify(other)


def test_asked_for_twice_it_is_written_once_and_the_newest_stays(client, job) -> None:
    office = alma()
    client.force_login(office)
    url, papers = reverse("archive-order", args=[job.number]), reverse("papers", args=[job.number])
    for _ in range(2):
        assert client.post(url).status_code == 302
    assert WorkRequest.objects.filter(kind="export.job").count() == 1
    assert "Being written" in client.get(papers).content.decode()
    assert work_one("papers") and not work_one("papers")
    first = newest(job).file
    got = client.get(reverse("archive-file", args=[job.number]))
    assert zipfile.ZipFile(io.BytesIO(got.getvalue())).testzip() is None
    assert "2031-941 everything of the job" in got["Content-Disposition"]
    assert "Download, " in client.get(papers).content.decode()
    client.post(url)
    assert work_one("papers")
    assert newest(job).file != first and not default_storage.exists(first)
    assert job.events.filter(verb="archive ordered").count() == 2


@pytest.mark.parametrize("role", ["foreman", "crew", "engineer"])
def test_it_is_the_offices(client, job, role) -> None:
    person = make_person(role=role)
    job.members.create(person=person, since=AT)
    client.force_login(person)
    assert client.post(reverse("archive-order", args=[job.number])).status_code == 403
    assert client.get(reverse("archive-file", args=[job.number])).status_code == 403
    assert "Everything of the job" not in client.get(reverse("papers", args=[job.number])).content.decode()


def test_the_page_asks_by_itself_only_while_it_is_written(client, job) -> None:
    client.force_login(alma())
    place = reverse("archive-state", args=[job.number])
    asks = f'hx-get="{place}"'
    assert asks not in client.get(place).content.decode()
    order_archive(job, by=alma(), at=AT)
    assert asks in client.get(reverse("papers", args=[job.number])).content.decode()
    assert asks in client.get(place).content.decode()
    assert work_one("papers")
    told = client.get(place).content.decode()
    assert asks not in told and reverse("archive-file", args=[job.number]) in told


def test_one_that_is_gone_is_said_and_written_again(client, job) -> None:
    client.force_login(alma())
    archive_of(job)
    default_storage.delete(newest(job).file)
    assert client.get(reverse("archive-file", args=[job.number])).status_code == 404
    assert "Write it" in client.get(reverse("papers", args=[job.number])).content.decode()
    write_event(job, "note", "later", by=alma(), at=AT)
    assert archive_of(job)


def test_it_is_of_one_moment_whoever_writes_meanwhile(job, monkeypatch) -> None:
    """An entry and its line of the log that come between two tables stand in neither of them."""
    plain, ben, writers = Table.rows, make_person(), []

    def write() -> None:
        with transaction.atomic():
            held = Job.objects.select_for_update().get(pk=job.pk)
            late = {"late": "received after the job was archived"}
            record(held, code="D03", number=4.0, by=ben, taken_at=AT, received_at=AT, noted=late)
        connection.close()

    def rows(self: Table, of: Job) -> Iterator[Any]:
        if not writers:
            writers.append(Thread(target=write))
            writers[0].start()
            kept_out = connection.vendor == "sqlite" and connection.connection.in_transaction
            if not kept_out:  # until the rows are read; where nothing keeps them out they come in
                writers[0].join()
        return plain(self, of)

    monkeypatch.setattr(Table, "rows", rows)
    before = job.entries.count()
    archive = archive_of(job)
    writers[0].join()
    assert job.entries.count() == before + 1 and job.events.filter(verb="entry noted").exists()
    told = json.loads(archive.read("job.json"))
    assert len(told["tables"]["entries"]["rows"]) == before and told["record"]["whole"]
    assert f"entry {before} " in told["record"]["ends"]
    assert not [line for line in told["tables"]["log"]["rows"] if line["verb"] == "entry noted"]


def left_over(folder: Path) -> list[str]:
    """What an archive that was not finished would leave, there or in the storage."""
    every = [*(folder / "exports").rglob("*"), *Path(default_storage.location).rglob("exports/*")]
    return [path.name for path in every if path.is_file()]


@pytest.mark.parametrize(
    "step", ["gathering the record", "photos/", "figures and record", "reading it through"]
)
def test_cancelled_while_it_is_written_nothing_of_it_is_left(
    client, job, monkeypatch, settings, step
) -> None:
    plain, office = Work.progress, alma()
    client.force_login(office)
    papers, stop = (reverse(name, args=[job.number]) for name in ("papers", "archive-stop"))

    def progress(self: Work, text: str, share: float) -> None:
        if text.startswith(step):
            assert client.post(stop, as_drawn(client, papers, stop)).status_code == 302
            assert "Being cancelled" in client.get(papers).content.decode()
        plain(self, text, share)

    order_archive(job, by=office, at=AT)
    monkeypatch.setattr(Work, "progress", progress)
    assert work_one("papers")
    found = newest(job)
    assert found.work.state == "cancelled" and left_over(settings.VAR_DIR) == []
    page = client.get(papers).content.decode()
    assert "It was cancelled." in page and "Write it" in page
    monkeypatch.setattr(Work, "progress", plain)
    assert archive_of(job).testzip() is None


class FullDisk:
    """Takes so many bytes, and then what a full disk answers (errno 28, ENOSPC)."""

    def __init__(self, stream: BinaryIO, room: int) -> None:
        self.stream, self.room = stream, room

    def write(self, content: bytes) -> int:
        self.room -= len(content)
        if self.room < 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return self.stream.write(content)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)

    def __enter__(self) -> FullDisk:
        return self

    def __exit__(self, *of: object) -> None:
        self.stream.close()


@pytest.mark.parametrize("room", [0, 3_000, 12_000])
def test_on_a_full_disk_it_says_so_and_leaves_nothing_half_written(
    client, job, monkeypatch, settings, room
) -> None:
    office = alma()
    client.force_login(office)
    with monkeypatch.context() as full:
        full.setattr("installs.export.kinds.private", lambda path: FullDisk(private(path), room))
        order_archive(job, by=office, at=AT)
        assert work_one("papers")
    assert newest(job).work.state == "failed" and left_over(settings.VAR_DIR) == []
    page = client.get(reverse("papers", args=[job.number])).content.decode()
    assert "disk is full" in page and "Write it" in page
    assert archive_of(job).testzip() is None
