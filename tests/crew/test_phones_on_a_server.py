"""A real server on a real database: one batch from many threads at once, the server killed in mid-request."""

from __future__ import annotations

import http.client
import os
import threading
from collections.abc import Iterator

import pytest

from tests.bench.office import POSTGRES, Office, held, postgres_unreachable
from tests.bench.phones import STILL_S, Lost, Phone, kill_on_the_way, made_entries
from tests.prepared import postgres_schema, schema_for

pytestmark = pytest.mark.slow

JOBS = 2


@pytest.fixture(scope="module", params=["SQLite", "PostgreSQL"])
def office(request, tmp_path_factory) -> Iterator[tuple[Office, list, list[str]]]:
    folder = tmp_path_factory.mktemp("office")
    if request.param == "SQLite":
        schema_for(folder)
        yield from running(Office(folder))
        return
    missing = postgres_unreachable()
    if missing and os.environ.get("CI") == "true":
        pytest.fail(missing)
    if missing:
        pytest.skip(missing)
    with postgres_schema(POSTGRES, f"mastwright_phones_{os.getpid()}") as url:
        yield from running(Office(folder, url))


def running(office: Office) -> Iterator[tuple[Office, list, list[str]]]:
    people, jobs = office.people_and_jobs(2, JOBS)
    office.start()
    try:
        yield office, people, jobs
    finally:
        office.kill()


def test_one_batch_delivered_by_many_at_once_is_taken_once(office) -> None:
    office, people, jobs = office
    batch, start = made_entries(6, jobs), threading.Barrier(6)
    told: list[list[str]] = []

    def deliver() -> None:
        phone = Phone(office, people[0], [], seed=1)
        start.wait()
        told.append([answer["state"] for answer in phone.send(batch)])

    threads = [threading.Thread(target=deliver) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(told) == 6
    for at_once in zip(*told, strict=True):
        assert sorted(at_once) == ["already had"] * 5 + ["taken"]
    assert once_each(office, batch)


@pytest.mark.prove
def test_a_server_killed_while_it_waits_to_write_has_the_entry_once_after_all(office) -> None:
    """The database is held, so that the request is surely under way; then -9."""
    office, people, jobs = office
    phone = Phone(office, people[1], made_entries(3, jobs), seed=2)
    batch = list(phone.waiting)
    failed = []

    def deliver() -> None:
        try:
            phone.send_one_batch()
        except (Lost, OSError):
            failed.append(True)

    phone.luck.randrange = lambda *_: 100  # a good line
    phone.ask("GET", f"/api/hello/?device={phone.device}", {}, None)  # its session is this phone's
    with held(office):
        thread = threading.Thread(target=deliver)
        thread.start()
        assert phone.posted.wait(STILL_S)
        # connections are taken up in their order: the server that answers this one has the batch
        assert page(office, "/sign-in/") == 200
        assert thread.is_alive()
        office.kill()
        thread.join()
    assert failed and len(phone.waiting) == 3
    office.start()
    phone.send_one_batch()
    assert phone.waiting == []
    assert once_each(office, batch)


@pytest.mark.prove
def test_a_server_killed_again_and_again_at_any_moment_has_every_entry_once(office) -> None:
    office, people, jobs = office
    phone = Phone(office, people[0], made_entries(120, jobs), seed=3)
    added = list(phone.waiting)
    thread = threading.Thread(target=phone.run)
    thread.start()
    kill_on_the_way(office, [phone], [thread], total=len(added), kills=3)
    thread.join()
    assert phone.waiting == []
    assert phone.acknowledged == {entry["uuid"] for entry in added}
    assert once_each(office, added)


def page(office: Office, path: str) -> int:
    link = http.client.HTTPConnection("127.0.0.1", office.port)
    try:
        link.request("GET", path)
        return link.getresponse().status
    finally:
        link.close()


def once_each(office: Office, added: list[dict]) -> bool:
    uuids, faults = office.record()
    assert faults == []
    assert len(uuids) == len(set(uuids))
    return {entry["uuid"] for entry in added} <= set(uuids)
