"""A job with five released parts, invented, and two of its rooms' sheets."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfWriter

from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import Sheet
from installs.jobs.services import accept_draft_check, release_design
from installs.papers import gathering
from installs.papers.catalog import OWN, OWN_ROOM, From
from installs.papers.models import Paper
from installs.papers.services import keep_printed
from installs.people.models import Certificate, Firm, User
from sitecalc.checks import Known, Rule, Step
from tests.make import AT, alma, make_job, make_person

PARTS = ("site", "foundation", "tower", "turbine", "ground_station")


def sheets_of_our_own(source: From) -> tuple[Sheet, ...]:
    """The rooms' own sheets are tested in their rooms; here a release prints its figures and checks."""
    return OWN[OWN_ROOM] if source.part == OWN_ROOM else ()


def equipment_of_our_own(cites: Any) -> list[dict[str, str]]:
    return [{"part": "Tower", "item": "Tower", "detail": "90 ft", "quantity": "1", "unit": "each"}]


@pytest.fixture(autouse=True)
def plain_rooms(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(From, "sheets", sheets_of_our_own)
    monkeypatch.setattr(gathering, "equipment", equipment_of_our_own)


def as_if_printed(paper: Paper) -> None:
    """A file for a paper, without the worker and the press."""
    keep_printed(paper, b"%PDF-1.7 stands for the paper", 11, at=AT)
    paper.refresh_from_db()


@pytest.fixture
def office(db: None) -> User:
    Firm.objects.get_or_create(pk=1, defaults={"name": "Prairie Test Erectors", "town": "Plum"})
    return alma()


@pytest.fixture
def engineer(db: None) -> User:
    person = make_person("Rhoda Kell, PE", "engineer")
    Certificate.objects.create(person=person, kind="engineer", number="PE-4471")
    return person


@pytest.fixture
def job(office: User, engineer: User) -> Job:
    return make_job(
        by=office, engineer=engineer, description="12 kW, 90 ft lattice tower", authority="Juniper County"
    )


def checks_of(part: str) -> list[Any]:
    steps = [
        Step(
            "q",
            "bearing under the corner",
            "q = P / A (1 + 6 e / B)",
            "q = 90 / 272 (1 + 6 x 1.2 / 16.5)",
            474.6,
            "psf",
        ),
        Step("A", "area", "A = B L", "A = 16.5 x 16.5", 272.25, "sq ft"),
    ]
    bearing = Rule("bearing", f"{part.capitalize()} bearing", "psf", "Invented Code 2030, 3.1", Known.READ)
    sliding = Rule("sliding", "Sliding", "kip", "Invented Handbook, table 2", Known.MEMORY)
    return [
        bearing.compare(demand=474.6, capacity=1500, case="wind from the NW", steps=steps),
        sliding.compare(demand=1.0, capacity=4.0),
    ]


def release(
    job: Job, part: str, by: User, *, at: Any = AT, checks: Any = None, **inputs: Any
) -> DesignRevision:
    figures = {"side_ft": 16.5, "soil": "CL", "notes": {"side_ft": "engineer's sketch"}, **inputs}
    return release_design(job, part, figures, {"volume_yd3": 33.3}, checks or checks_of(part), by=by, at=at)


@pytest.fixture
def released(job: Job, office: User, engineer: User) -> dict[str, DesignRevision]:
    """All five parts released as A; the foundation with one accepted check."""
    open_check = Rule("buoyancy", "Buoyancy", "", "Invented Code 2030, 4", Known.READ).open(
        "highest water not given"
    )
    found = {}
    for part in PARTS:
        checks = checks_of(part)
        if part == "foundation":
            checks.append(open_check)
            figures = {"side_ft": 16.5, "soil": "CL", "notes": {"side_ft": "engineer's sketch"}}
            accept_draft_check(
                job, part, figures, open_check, "Test pit was dry to 9 ft.", by=engineer, at=AT
            )
        found[part] = release(job, part, office, checks=checks)
    return found


def pdf(pages: int = 2, **password: str) -> SimpleUploadedFile:
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(612, 792)
    if password:
        writer.encrypt(**password)
    stream = io.BytesIO()
    writer.write(stream)
    return SimpleUploadedFile("sealed.pdf", stream.getvalue(), "application/pdf")
