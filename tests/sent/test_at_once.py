"""Many at once on both databases: no change is lost, nothing is made twice, nothing ends in a fault."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.bench.office import POSTGRES, postgres_unreachable
from tests.prepared import ROOT, plain_environment, postgres_schema, schema_for

pytestmark = [pytest.mark.slow, pytest.mark.prove]
DATABASES = ["SQLite", "PostgreSQL"]

Ran = Callable[[str], dict[str, Any]]


@pytest.fixture(params=DATABASES)
def ran(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Ran]:
    """Runs a case of at_once.py in a process of its own, on a database of its own."""
    if request.param == "SQLite":
        schema_for(tmp_path)
        yield lambda case: run(case, plain_environment(tmp_path))
        return
    missing = postgres_unreachable()
    if missing and os.environ.get("CI") == "true":
        pytest.fail(missing)
    if missing:
        pytest.skip(missing)
    with postgres_schema(POSTGRES, f"mastwright_once_{os.getpid()}") as url:
        yield lambda case: run(case, plain_environment(tmp_path) | {"DATABASE_URL": url})


def run(case: str, environment: dict[str, str]) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.sent.at_once", case]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr[-3000:]
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


def test_twenty_who_change_another_field_each_lose_nothing(ran: Ran) -> None:
    found = ran("writers")
    assert found["lost"] == {} and found["rows"] == 1
    assert found["last"] == [302] * 20
    assert found["stale"] >= 19  # who came later was told what the others had changed


def test_twenty_presses_of_one_form_make_one_row_and_twenty_forms_twenty(ran: Ran) -> None:
    found = ran("double")
    assert (found["same"], found["one"]) == ([302] * 20, 1)
    assert (found["each"], found["all"]) == ([302] * 20, 20)


def test_a_plan_issued_by_ten_at_once_is_one_plan(ran: Ran) -> None:
    found = ran("issue")
    assert found["letters"] == ["A"] and found["tentative"] == 0
    assert found["answers"] == [302, *[409] * 9]


def test_issuing_and_striking_at_once_never_wait_for_one_another(ran: Ran) -> None:
    found = ran("issue_against_strike")
    assert set(found["answers"]) <= {302, 409}
    assert (found["twice"], found["empty"]) == (0, [])


def test_the_first_draft_of_a_part_is_one_whoever_saves_it(ran: Ran) -> None:
    found = ran("first_draft")
    assert found["drafts"] == 1 and found["answers"] == [302, *[409] * 9]


def test_of_an_office_that_takes_itself_out_at_once_one_remains(ran: Ran) -> None:
    found = ran("last_of_the_office")
    # 401: who was archived before is asked to sign in, and keeps what was typed
    assert found["office"] >= 1 and set(found["answers"]) <= {302, 401, 403, 409, 422}
