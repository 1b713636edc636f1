"""The real packet by the real worker: killed in the middle it is printed once."""

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

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.slow

ORDER = """
import django; django.setup()
from django.utils import timezone
from installs.jobs.models import Job
from installs.papers.services import order_paper
from installs.people.models import User
office = User.objects.filter(role="office").first()
job = Job.objects.filter(revisions__part="foundation").order_by("number").first()
print(order_paper(job, "permit packet", by=office, at=timezone.now()).pk)
"""


class Machine:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.env = os.environ | {
            "VAR_DIR": str(folder),
            "WORK_LEASE_SECONDS": "3",
            "WORK_LOOK_SECONDS": "1",
            "DJANGO_SETTINGS_MODULE": "installs.settings",
        }
        self.processes: list[subprocess.Popen[bytes]] = []

    def run(self, *command: str) -> str:
        whole = [sys.executable, *command]
        done = subprocess.run(whole, env=self.env, cwd=ROOT, capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def start(self, *words: str) -> subprocess.Popen[bytes]:
        with (self.folder / "processes.log").open("ab") as log:
            command = [sys.executable, "-m", "celery", "-A", "installs", *words]
            process = subprocess.Popen(command, env=self.env, cwd=ROOT, stdout=log, stderr=log)
        self.processes.append(process)
        return process

    def worker(self) -> subprocess.Popen[bytes]:
        return self.start("worker", "-Q", "papers", "-P", "solo", "-l", "info")

    def sql(self, statement: str, *values: Any) -> list[tuple[Any, ...]]:
        link = sqlite3.connect(self.folder / "mastwright.sqlite3", timeout=20)
        try:
            return link.execute(statement, values).fetchall()
        finally:
            link.close()

    def wait_until(self, true: Callable[[], bool]) -> None:
        give_up = time.monotonic() + 120
        while not true():
            if time.monotonic() > give_up:
                pytest.fail((self.folder / "processes.log").read_text()[-4000:])
            time.sleep(0.02)


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    machine = Machine(tmp_path)
    yield machine
    for process in machine.processes:
        process.kill()
        process.wait()


def test_a_worker_killed_in_the_middle_of_a_packet_leaves_it_once(machine: Machine) -> None:
    machine.run("manage.py", "migrate", "--verbosity", "0")
    machine.run("manage.py", "demo")
    machine.start("beat", "--pidfile=")
    worker = machine.worker()
    paper = int(machine.run("-c", ORDER))

    def state() -> tuple[Any, ...]:
        return machine.sql(
            "SELECT w.state, w.tries, w.error FROM installs_paper p"
            " JOIN installs_workrequest w ON w.id = p.work_id WHERE p.id = ?",
            paper,
        )[0]

    machine.wait_until(lambda: state()[0] == "running")
    worker.send_signal(signal.SIGKILL)
    worker.wait()
    assert state() == ("running", 1, "")
    machine.worker()
    machine.wait_until(lambda: state()[0] in ("done", "failed"))
    assert state() == ("done", 2, "")
    printed = machine.sql("SELECT data FROM installs_event WHERE verb = 'paper printed'")
    assert sum(f'"paper": {paper},' in data for (data,) in printed) == 1
    sha256 = machine.sql(
        "SELECT f.sha256 FROM installs_paper p JOIN installs_storedfile f ON f.id = p.file_id WHERE p.id = ?",
        paper,
    )[0][0]
    assert (machine.folder / "files" / sha256[:2] / sha256).read_bytes().startswith(b"%PDF-")
