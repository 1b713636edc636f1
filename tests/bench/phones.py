"""Fifty phones with bad lines, 200 entries each, a server killed four times: every entry arrives once.

``python tests/bench/phones.py [phones] [entries]``, on SQLite and, where it is reachable, on PostgreSQL.
Prints entries per second beside the bare commit rate of the same database; ends with an error if anything
is missing, double, broken or was not taken in the end.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import sqlite3
import sys
import tempfile
import threading
import time
import uuid
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psycopg

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.bench.office import Office, postgres_database, postgres_unreachable

PHONES, ENTRIES, JOBS, KILLS = 50, 200, 5, 4
BATCH = 20
# a phone gives up when nothing of its own was taken for so long: a busy machine is slow, not stuck
STILL_S = 180
# of a hundred requests
LOST_REQUESTS, LOST_REPLIES, TWICE = 10, 10, 10


class Lost(Exception):
    """The line dropped it."""


class Phone:
    """What static/installs/queue.js does: an entry is let go only when the reply names its UUID."""

    def __init__(self, office: Office, person: tuple[int, str], entries: list[dict[str, Any]], seed: int):
        self.office, self.session, self.waiting = office, person[1], entries
        # a session belongs to its phone, and a phone's id stays
        self.luck, self.device = random.Random(seed), str(uuid.uuid5(uuid.NAMESPACE_OID, person[1]))
        self.acknowledged: set[str] = set()
        self.lost = 0
        self.posted = threading.Event()  # a batch is on its way

    def run(self) -> None:
        taken, since = 0, time.monotonic()
        while self.waiting and time.monotonic() < since + STILL_S:
            if len(self.acknowledged) > taken:
                taken, since = len(self.acknowledged), time.monotonic()
            try:
                self.send_one_batch()
            except (Lost, OSError, http.client.HTTPException):
                self.lost += 1
                time.sleep(self.luck.uniform(0.05, 0.4))

    def send_one_batch(self) -> None:
        batch = self.waiting[:BATCH]
        answers = self.send(batch, faults=True)
        named = {a["uuid"] for a in answers if a["state"] in ("taken", "already had")}
        self.acknowledged |= named
        self.waiting = [entry for entry in self.waiting if entry["uuid"] not in named]

    def send(self, batch: list[dict[str, Any]], *, faults: bool = False) -> list[dict[str, Any]]:
        hello = self.ask("GET", f"/api/hello/?device={self.device}", {}, None)
        csrf = hello["csrf"]
        body = {
            "device": self.device,
            "now": datetime.now(UTC).isoformat(),
            "waiting": len(self.waiting) - len(batch),
            "entries": batch,
        }
        headers = {"X-CSRFToken": csrf, "Content-Type": "application/json", "Cookie": f"csrftoken={csrf}"}
        text, chance = json.dumps(body).encode(), self.luck.randrange(100) if faults else 100
        if chance < LOST_REQUESTS:
            raise Lost
        lost_reply = chance < LOST_REQUESTS + LOST_REPLIES
        if lost_reply or chance < LOST_REQUESTS + LOST_REPLIES + TWICE:
            self.ask("POST", "/api/entries/", headers, text, wait=not lost_reply)
        if lost_reply:
            raise Lost
        return self.ask("POST", "/api/entries/", headers, text)["answers"]

    def ask(
        self, method: str, path: str, headers: dict[str, str], body: bytes | None, *, wait: bool = True
    ) -> Any:
        cookie = "; ".join(filter(None, [f"sessionid={self.session}", headers.get("Cookie", "")]))
        link = http.client.HTTPConnection("127.0.0.1", self.office.port, timeout=30)
        try:
            link.request(method, path, body, {**headers, "Cookie": cookie})
            if method == "POST":
                self.posted.set()
            if not wait:
                return None
            answer = link.getresponse()
            text = answer.read()
            if answer.status != 200:
                raise Lost(f"{answer.status} {text[:200]!r}")
            return json.loads(text)
        finally:
            link.close()


def made_entries(count: int, jobs: list[str]) -> list[dict[str, Any]]:
    at = datetime.now(UTC).isoformat()
    return [
        {
            "uuid": str(uuid.uuid4()),
            "job": jobs[n % len(jobs)],
            "code": "C07",
            "subject": f"place {n}",
            "taken_at": at,
            "data": {},
        }
        for n in range(count)
    ]


def bare_commits(office: Office, seconds: float = 2.0) -> float:
    """One row a commit on one connection, as durable as the site's own."""
    if office.database_url:
        with psycopg.connect(office.database_url, autocommit=True) as link:
            link.execute("CREATE TABLE bare (uuid uuid PRIMARY KEY, text text)")
            return _rate(lambda: link.execute("INSERT INTO bare VALUES (%s, 'x')", [uuid.uuid4()]), seconds)
    script = "from django.db import connection as c; c.ensure_connection(); import json\n"
    script += "q = lambda n: c.connection.execute(f'PRAGMA {n}').fetchone()[0]\n"
    mode, durable = office.told(script + "print(json.dumps([q('journal_mode'), q('synchronous')]))")
    link = sqlite3.connect(office.folder / "bare.sqlite3", isolation_level=None)
    link.execute(f"PRAGMA journal_mode={mode}")
    link.execute(f"PRAGMA synchronous={durable}")
    link.execute("CREATE TABLE bare (uuid TEXT PRIMARY KEY, text TEXT)")
    try:
        return _rate(lambda: link.execute("INSERT INTO bare VALUES (?, 'x')", [str(uuid.uuid4())]), seconds)
    finally:
        link.close()


def _rate(work: Any, seconds: float) -> float:
    count, begun = 0, time.perf_counter()
    while time.perf_counter() - begun < seconds:
        work()
        count += 1
    return count / (time.perf_counter() - begun)


def kill_on_the_way(
    office: Office, phones: list[Phone], threads: list[threading.Thread], *, total: int, kills: int
) -> None:
    """Kill the server and start it again at even shares of ``total`` entries, as long as any is sending."""
    for kill in range(1, kills + 1):
        while sum(len(phone.acknowledged) for phone in phones) < total * kill / (kills + 1):
            if not any(thread.is_alive() for thread in threads):
                break
            time.sleep(0.02)
        office.kill()
        office.start()


def bench(office: Office, name: str, phones: int, entries: int) -> bool:
    people, jobs = office.people_and_jobs(phones, JOBS)
    bare = bare_commits(office)
    office.start()
    carried = [Phone(office, person, made_entries(entries, jobs), seed) for seed, person in enumerate(people)]
    added = {entry["uuid"] for phone in carried for entry in phone.waiting}
    begun = time.monotonic()
    threads = [threading.Thread(target=p.run, daemon=True) for p in carried]
    for thread in threads:
        thread.start()
    kill_on_the_way(office, carried, threads, total=len(added), kills=KILLS)
    for thread in threads:
        thread.join()
    took = time.monotonic() - begun
    office.kill()
    return told(name, office, carried, added, took, bare)


def told(name: str, office: Office, phones: list[Phone], added: set[str], took: float, bare: float) -> bool:
    uuids, faults = office.record()
    acknowledged = set().union(*(phone.acknowledged for phone in phones))
    unsent, lost = sum(len(phone.waiting) for phone in phones), sum(phone.lost for phone in phones)
    print(
        f"{name}: {len(phones)} phones, {len(added):,} entries, {lost:,} lines lost, {KILLS} servers killed"
    )
    rate = len(acknowledged) / took
    print(f"  {rate:.0f} entries/s over {took:.0f} s; bare commits on one connection {bare:.0f}/s")
    wrong = {
        "acknowledged and not there": len(acknowledged - set(uuids)),
        "there twice": len(uuids) - len(set(uuids)),
        "there and never added": len(set(uuids) - added),
        "faults of the chain": len(faults),
        "given up": unsent,
    }
    print("  " + ", ".join(f"{words} {count}" for words, count in wrong.items()))
    return not any(wrong.values())


def main() -> None:
    phones, entries = (int(sys.argv[n]) if len(sys.argv) > n else d for n, d in ((1, PHONES), (2, ENTRIES)))
    good = True
    with tempfile.TemporaryDirectory() as folder:
        good &= run_on(Path(folder), "", "SQLite", phones, entries)
    missing = postgres_unreachable()
    if missing:
        print(missing)
    else:
        name = f"mastwright_bench_{os.getpid()}"
        with tempfile.TemporaryDirectory() as folder, postgres_database(name) as url:
            good &= run_on(Path(folder), url, "PostgreSQL", phones, entries)
    if not good:
        sys.exit("Entries are missing, double or broken.")


def run_on(folder: Path, url: str, name: str, phones: int, entries: int) -> bool:
    office = Office(folder, url)
    try:
        return bench(office, name, phones, entries)
    finally:
        office.kill()


if __name__ == "__main__":
    main()
