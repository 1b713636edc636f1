"""A web server on a database of its own, as ``make run`` starts it, that can be killed and started again."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import psycopg

from installs.work.programs import programs

ROOT = Path(__file__).resolve().parents[2]
POSTGRES = os.environ.get("TEST_POSTGRES_URL", "postgresql://postgres@127.0.0.1:5432/postgres")

PEOPLE_AND_JOBS = """
import json
from django.test import Client
from django.utils import timezone
from installs.checklists.services import copy_lists
from tests.make import make_job, make_person
people = [make_person(f"Phone{n} Carrier") for n in range(PEOPLE)]
jobs = [make_job(members=tuple(people)) for _ in range(JOBS)]
for job in jobs:
    copy_lists(job, by=people[0], at=timezone.now())
sessions = []
for person in people:
    client = Client()
    client.force_login(person)
    sessions.append([person.pk, client.cookies["sessionid"].value])
print(json.dumps({"people": sessions, "jobs": [job.number for job in jobs]}))
"""
RECORD = """
import json
from installs.checklists.models import Entry
from installs.checklists.services import chain_faults
from installs.jobs.models import Job
uuids = [str(uuid) for uuid in Entry.objects.values_list("uuid", flat=True)]
print(json.dumps({"uuids": uuids, "faults": [f for job in Job.objects.all() for f in chain_faults(job)]}))
"""
SETUP = (
    "import os, django; os.environ['DJANGO_SETTINGS_MODULE'] = 'installs.settings'; django.setup()\n"
    "from django.conf import settings\n"
    "settings.PASSWORD_HASHERS = ['django.contrib.auth.hashers.MD5PasswordHasher']\n"
)


class Office:
    """The server's process and its database; SQLite in ``folder`` unless a PostgreSQL URL is given."""

    def __init__(self, folder: Path, database_url: str = "") -> None:
        self.folder, self.database_url = folder, database_url
        with socket.socket() as trial:
            trial.bind(("127.0.0.1", 0))
            self.port = trial.getsockname()[1]
        kept = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "REDIS_URL", "PRODUCTION")}
        self.env = {**kept, "VAR_DIR": str(folder), "DJANGO_SETTINGS_MODULE": "installs.settings"}
        if database_url:
            self.env["DATABASE_URL"] = database_url
        self.server: subprocess.Popen[bytes] | None = None
        self.run("manage.py", "migrate", "--no-input", "--verbosity", "0")

    def run(self, *command: str) -> str:
        done = subprocess.run(
            [sys.executable, *command], env=self.env, cwd=ROOT, capture_output=True, text=True
        )
        if done.returncode:
            raise RuntimeError(done.stdout + done.stderr)
        return done.stdout

    def told(self, script: str) -> Any:
        return json.loads(self.run("-c", SETUP + script).splitlines()[-1])

    def people_and_jobs(self, people: int, jobs: int) -> tuple[list[tuple[int, str]], list[str]]:
        made = self.told(f"PEOPLE, JOBS = {people}, {jobs}\n{PEOPLE_AND_JOBS}")
        return [tuple(person) for person in made["people"]], made["jobs"]

    def record(self) -> tuple[list[str], list[str]]:
        """UUIDs of every entry, and what is wrong with the chains."""
        told = self.told(RECORD)
        return told["uuids"], told["faults"]

    def start(self) -> None:
        command = [*programs(self.port)["web"], "--backlog", "256"]
        with (self.folder / "web.log").open("ab") as log:
            self.server = subprocess.Popen(
                command, env=self.env, cwd=ROOT, stdout=log, stderr=log, start_new_session=True
            )
        give_up = time.monotonic() + 60
        while not self.answers():
            if time.monotonic() > give_up:
                raise RuntimeError((self.folder / "web.log").read_text()[-3000:])
            time.sleep(0.05)

    def answers(self) -> bool:
        try:
            link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
            link.request("GET", "/health")
            return link.getresponse().status == 200
        except OSError:
            return False
        finally:
            link.close()

    def kill(self) -> None:
        """-9 to the server and its workers, in the middle of whatever they do."""
        if self.server is not None:
            os.killpg(self.server.pid, signal.SIGKILL)
            self.server.wait()
            self.server = None


class held:
    """No entry can be written meanwhile."""

    def __init__(self, office: Office) -> None:
        self.office = office

    def __enter__(self) -> None:
        if self.office.database_url:
            self.link = psycopg.connect(self.office.database_url)
            self.link.execute("LOCK TABLE installs_job IN ACCESS EXCLUSIVE MODE")
        else:
            self.link = sqlite3.connect(self.office.folder / "mastwright.sqlite3", isolation_level=None)
            self.link.execute("BEGIN IMMEDIATE")

    def __exit__(self, *_: object) -> None:
        self.link.rollback()
        self.link.close()


def postgres_unreachable() -> str:
    try:
        psycopg.connect(POSTGRES, connect_timeout=5).close()
    except psycopg.Error as error:
        return f"PostgreSQL is not reachable at {POSTGRES}: {error}"
    return ""


@contextmanager
def postgres_database(name: str) -> Iterator[str]:
    """A database of its own, taken away again."""
    with psycopg.connect(POSTGRES, autocommit=True) as link:
        link.execute(f'CREATE DATABASE "{name}"')
    try:
        yield urlunsplit(urlsplit(POSTGRES)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(POSTGRES, autocommit=True) as link:
            link.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
