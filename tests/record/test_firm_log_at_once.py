"""Several processes write the firm's log at once: one chain without a fork, on either database."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

from tests.prepared import ROOT, plain_environment, postgres_schema, schema_for

POSTGRES = os.environ.get("TEST_POSTGRES_URL", "postgresql://postgres@127.0.0.1:5432/postgres")
WRITERS, LINES = 3, 25
# each waits until all are there, so that they write side by side
WRITE = f"""
import sys
from django.utils import timezone
from installs.people.firm_log import write_firm_event
from installs.people.models import User
print("ready", flush=True)
sys.stdin.readline()
for n in range({LINES}):
    write_firm_event("signed in", f"Line {{n}}.", by="writer", at=timezone.now())
"""


def manage(environment: dict[str, str], *words: str) -> subprocess.Popen[str]:
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    command = [sys.executable, "manage.py", *words]
    return subprocess.Popen(command, env=environment, cwd=ROOT, text=True, **pipes)


def written_at_once(environment: dict[str, str]) -> str:
    """What ``manage.py chains`` says after all of them."""
    writers = [manage(environment, "shell", "--no-imports", "-c", WRITE) for _ in range(WRITERS)]
    for writer in writers:
        assert writer.stdout is not None and writer.stdin is not None
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        _, wrong = writer.communicate()
        assert writer.returncode == 0, wrong
    said, wrong = manage(environment, "chains").communicate()
    return said + wrong


@pytest.mark.slow
@pytest.mark.prove
def test_on_sqlite(tmp_path: Path) -> None:
    schema_for(tmp_path)
    assert f"Firm's log  {WRITERS * LINES} lines, whole" in written_at_once(plain_environment(tmp_path))


@pytest.mark.prove
@pytest.mark.service
def test_on_postgresql(tmp_path: Path) -> None:
    try:
        psycopg.connect(POSTGRES, connect_timeout=60).close()
    except psycopg.Error as error:
        if os.environ.get("CI") == "true":
            pytest.fail(f"{POSTGRES}: {error}")
        pytest.skip(f"{POSTGRES} is not reachable: {error}")
    with postgres_schema(POSTGRES, f"mastwright_firm_log_{os.getpid()}") as url:
        environment = plain_environment(tmp_path) | {"DATABASE_URL": url}
        assert f"Firm's log  {WRITERS * LINES} lines, whole" in written_at_once(environment)
