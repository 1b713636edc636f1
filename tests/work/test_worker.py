"""Real worker processes on a real database file: killed, doubled, stuck, left with an orphan."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.prepared import schema_for
from tests.served import PATIENCE_S

ROOT = Path(__file__).resolve().parents[2]
WORKER = Path(__file__).with_name("worker.py")

LEASE = "SELECT lease_until FROM installs_workrequest WHERE key = 'packet'"

pytestmark = pytest.mark.slow


class Machine:
    """A folder with a database and a broker of its own, and the processes started on it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.env = os.environ | {
            "VAR_DIR": str(folder),
            "WORK_LEASE_SECONDS": "3",
            "WORK_LOOK_SECONDS": "1",
            "DJANGO_SETTINGS_MODULE": "installs.settings",
        }
        for name in ("DATABASE_URL", "REDIS_URL"):
            self.env.pop(name, None)
        self.processes: list[subprocess.Popen[bytes]] = []

    def run(self, *command: str) -> None:
        subprocess.run([sys.executable, *command], env=self.env, cwd=ROOT, check=True)

    def start(self, *command: str) -> subprocess.Popen[bytes]:
        log = (self.folder / "processes.log").open("ab")
        process = subprocess.Popen([sys.executable, *command], env=self.env, cwd=ROOT, stdout=log, stderr=log)
        log.close()
        self.processes.append(process)
        return process

    def worker(self) -> subprocess.Popen[bytes]:
        return self.start(str(WORKER), "worker", "papers")

    def request(self, kind: str, *keys: str) -> None:
        self.run(str(WORKER), "request", kind, *keys)

    def sql(self, statement: str, *values: Any) -> list[tuple[Any, ...]]:
        link = sqlite3.connect(self.folder / "mastwright.sqlite3", timeout=PATIENCE_S)
        try:
            with link:
                return link.execute(statement, values).fetchall()
        finally:
            link.close()

    def state(self, key: str) -> tuple[Any, ...]:
        rows = self.sql("SELECT state, tries, result, error FROM installs_workrequest WHERE key = ?", key)
        return rows[0]

    def kept(self, key: str) -> int:
        return int(self.sql("SELECT count(*) FROM installs_signinattempt WHERE username = ?", key)[0][0])

    def begun(self, key: str) -> int:
        file = self.folder / f"begun-{key}"
        return len(file.read_text()) if file.exists() else 0

    def wait_until(self, true: Callable[[], bool]) -> None:
        give_up = time.monotonic() + PATIENCE_S
        while not true():
            if time.monotonic() > give_up:
                pytest.fail((self.folder / "processes.log").read_text()[-4000:])
            time.sleep(0.05)

    def stop(self) -> None:
        for process in self.processes:
            process.kill()
            process.wait()


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    schema_for(tmp_path)
    machine = Machine(tmp_path)
    yield machine
    machine.stop()


@pytest.mark.prove
def test_a_worker_killed_in_the_middle_leaves_one_result(machine: Machine) -> None:
    worker = machine.worker()
    machine.request("tests.slow", "packet")
    machine.wait_until(lambda: machine.begun("packet") == 1)
    worker.send_signal(signal.SIGKILL)
    worker.wait()
    assert machine.state("packet")[0] == "running" and machine.kept("packet") == 0
    (machine.folder / "go on").touch()
    machine.worker()
    machine.wait_until(lambda: machine.state("packet")[0] == "done")
    assert machine.state("packet")[:3] == ("done", 2, '"slow and sure"')
    assert (machine.begun("packet"), machine.kept("packet")) == (2, 1)


@pytest.mark.prove
def test_a_slow_job_is_not_taken_away_from_a_living_worker(machine: Machine) -> None:
    machine.worker()
    machine.worker()
    machine.request("tests.slow", "packet")
    machine.wait_until(lambda: machine.begun("packet") == 1)
    first = machine.sql(LEASE)
    machine.wait_until(lambda: machine.sql(LEASE) != first)
    second = machine.sql(LEASE)
    machine.wait_until(lambda: machine.sql(LEASE) > second)
    (machine.folder / "go on").touch()
    machine.wait_until(lambda: machine.state("packet")[0] == "done")
    assert (machine.state("packet")[1], machine.begun("packet"), machine.kept("packet")) == (1, 1, 1)


@pytest.mark.prove
def test_two_workers_do_each_request_once(machine: Machine) -> None:
    keys = [f"packet {n}" for n in range(12)]
    machine.worker()
    machine.worker()
    machine.request("tests.quick", *keys)
    machine.wait_until(lambda: all(machine.state(key)[0] == "done" for key in keys))
    assert [(machine.begun(key), machine.kept(key)) for key in keys] == [(1, 1)] * 12


def test_a_row_whose_wake_up_was_lost_is_found_by_the_workers_clock(machine: Machine) -> None:
    machine.worker()
    machine.sql(
        "INSERT INTO installs_workrequest (kind, queue, key, arguments, state, owner, tries, progress_text,"
        " progress_share, error, requested_at, request_id) VALUES ('tests.quick', 'papers', 'orphan', '{}',"
        " 'queued', '', 0, '', 0.0, '', '2031-05-19 17:00:00', '')"
    )
    machine.wait_until(lambda: machine.state("orphan")[0] == "done")
    assert machine.kept("orphan") == 1


def test_a_row_left_by_a_dead_worker_is_found_at_the_next_start(machine: Machine) -> None:
    machine.sql(
        "INSERT INTO installs_workrequest (kind, queue, key, arguments, state, owner, lease_until, tries,"
        " progress_text, progress_share, error, requested_at, request_id) VALUES ('tests.quick', 'papers',"
        " 'left', '{}', 'running', 'gone:1:x', '2031-05-19 17:00:30', 1, '', 0.0, '', '2031-05-19 17:00:00',"
        " '')"
    )
    machine.sql("UPDATE installs_workrequest SET lease_until = '2001-01-01 00:00:00'")
    machine.worker()
    machine.wait_until(lambda: machine.state("left")[0] == "done")
    assert machine.state("left")[1] == 2


def test_a_worker_stuck_in_a_request_ends_itself(machine: Machine) -> None:
    worker = machine.worker()
    machine.request("tests.stuck", "loop")
    machine.wait_until(lambda: worker.poll() is not None)
    assert worker.returncode == 70 and machine.state("loop")[0] == "running"


def test_a_broken_message_does_not_stop_a_worker(machine: Machine) -> None:
    for name in ("messages", "taken", "broken"):
        (machine.folder / "broker" / name).mkdir(parents=True, exist_ok=True)
    (machine.folder / "broker" / "messages" / "0_x.papers.msg").write_text('{"body": "W1')
    machine.worker()
    machine.request("tests.quick", "after")
    machine.wait_until(lambda: machine.state("after")[0] == "done")
    # the request may have been found in the table before the worker read its messages
    machine.wait_until((machine.folder / "broker" / "broken" / "0_x.papers.msg").exists)


def test_a_stopped_worker_finishes_what_it_has_begun(machine: Machine) -> None:
    worker = machine.worker()
    machine.request("tests.slow", "packet", "next")
    machine.wait_until(lambda: machine.begun("packet") == 1)
    worker.terminate()
    (machine.folder / "go on").touch()
    worker.wait(timeout=PATIENCE_S)
    assert machine.state("packet")[0] == "done" and machine.begun("next") == 0
