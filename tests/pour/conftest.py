"""A job with a released foundation and pour, invented; poured on April 24, 2031."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from installs.checklists.services import copy_lists
from installs.jobs.models import DesignRevision, Job
from installs.jobs.services import release_design
from installs.people.models import Firm, User
from installs.pour.models import PourDesign
from installs.pour.review import review
from installs.pour.services import record_truck
from sitecalc.__main__ import plain
from sitecalc.checks import Known, Rule
from sitecalc.figures import declared
from sitecalc.pour.figures import MonthsRow
from tests.make import alma, make_job, make_person, make_release

POUR = datetime(2031, 4, 24, 14, 0, tzinfo=UTC)  # 9 AM at the site
NORMALS = (12.0, 17.0, 29.0, 43.0, 56.0, 66.0, 71.0, 69.0, 59.0, 45.0, 29.0, 16.0)


@pytest.fixture
def office(db: None) -> User:
    Firm.objects.get_or_create(pk=1, defaults={"name": "Prairie Test Erectors", "town": "Plum"})
    return alma()


@pytest.fixture
def foreman(db: None) -> User:
    return make_person("Ben Osgood", "foreman")


@pytest.fixture
def engineer(db: None) -> User:
    return make_person("Rhoda Kell, PE", "engineer")


@pytest.fixture
def job(office: User, foreman: User, engineer: User) -> Job:
    job = make_job(by=office, members=(foreman, engineer), at=POUR - timedelta(days=90))
    copy_lists(job, by=office, at=POUR - timedelta(days=80))
    checks = [Rule("a", "Anything", "", "none", Known.PRACTICE).compare(demand=1, capacity=2)]
    pad = {"side_ft": 16.5, "thickness_ft": 3.5, "fc_psi": 4500.0}
    at = POUR - timedelta(days=60)
    make_release(job, "foundation", letter="B", by=office, at=at, checks=plain(checks), inputs=pad)
    return job


@pytest.fixture
def draft(job: Job) -> PourDesign:
    normals = [dict(zip((month.name for month in declared(MonthsRow)), NORMALS, strict=True))]
    return PourDesign.objects.create(job=job, fc_psi=4500.0, w_cm=0.43, normals=normals)


@pytest.fixture
def released(draft: PourDesign, office: User) -> DesignRevision:
    made = review(draft)
    at = POUR - timedelta(days=30)
    return release_design(draft.job, "pour", draft.inputs(), made.results, made.checks, by=office, at=at)


def ticket(number: int = 1, **changed: Any) -> dict[str, Any]:
    batched = POUR + timedelta(minutes=45 * (number - 1) - 62)
    return {
        "truck": number, "ticket": f"4882{number}", "yards": 9.5, "batched": batched,
        "discharged": batched + timedelta(minutes=70), "slump": 4.5, "air": 6.1, "concrete": 62.0,
        "water": None, "water_allowed": None, "refused": False, "why": "", **changed,
    }  # fmt: skip


@pytest.fixture
def poured(job: Job, released: DesignRevision, foreman: User) -> Job:
    """Four trucks discharged through an open record (the gate's own closing leaves a deviation)."""
    for number in (1, 2, 3, 4):
        record_truck(job, ticket(number), by=foreman, at=POUR + timedelta(hours=number))
    return job


def log_csv(
    temps_f: list[float], *, start: datetime = POUR + timedelta(hours=6), sensor: str = "edge"
) -> bytes:
    """An hourly logger file at the site's clock in April and May (5 h behind UTC)."""
    lines = [f"Time,{sensor} (F)"]
    lines += [
        f"{start - timedelta(hours=5) + timedelta(hours=h):%Y-%m-%d %H:%M},{t:.2f}"
        for h, t in enumerate(temps_f)
    ]
    return ("\n".join(lines) + "\n").encode()
