"""The first sheet of a packet: what a building official looks for before reading on."""

from __future__ import annotations

from datetime import date

import pytest

from installs.jobs.models import Member
from installs.materials.models import Valuation
from installs.materials.services import record_valuation
from installs.papers.catalog import packet_of
from installs.papers.gathering import criteria, gather
from installs.papers.pages import documents
from installs.people.models import Certificate
from tests.make import AT, make_person
from tests.papers.conftest import release

pytestmark = pytest.mark.django_db


def packet_pages(job, office) -> dict[str, str]:
    return dict(documents(gather(job, packet_of("permit packet"), "A", by=office, at=AT).inputs))


def test_design_criteria_stand_on_it_and_what_nobody_gave_says_so(job, office, released):
    given = release(job, "tower", office, wind_mph=115.0, exposure="C")
    lines = {line["label"]: line for line in criteria([given, released["foundation"]])}
    assert (lines["Basic wind speed"]["value"], lines["Basic wind speed"]["unit"]) == ("115", "mph")
    assert lines["Risk category"]["value"] == lines["Seismic design category"]["value"] == "not given"
    first = packet_pages(job, office)["Setting sheet G-1"]
    assert "Risk category" in first and "Frost depth" in first and "Building codes in force" in first


def test_the_valuation_stands_on_it_with_who_said_it_or_is_not_given(job, office, released):
    first = " ".join(packet_pages(job, office)["Setting sheet G-1"].split())
    assert "<dt>Valuation</dt><dd>not given</dd>" in first
    row = Valuation(amount_cents=11_840_000, covers="contract", said_by="A. Reyes", said_on=date(2031, 5, 4))
    record_valuation(job, row, by=office, at=AT)
    first = " ".join(packet_pages(job, office)["Setting sheet G-1"].split())
    words = "$118,400, contract price, labor and materials; said by A. Reyes on May 4, 2031"
    assert f"<dt>Valuation</dt><dd>{words}</dd>" in first


def test_it_has_room_for_seal_stamp_and_signature(job, office, released):
    first = packet_pages(job, office)["Setting sheet G-1"]
    for words in ("Engineer’s seal", "Authority’s stamp", "Owner or agent, signature and date"):
        assert first.count(words) == 1


def test_the_electrician_of_the_job_is_named_with_the_license_on_file(job, office, released):
    """Not one of another job, nor one whose membership or license has ended."""
    for name, on_job in (("Nils Aker", True), ("Una Berg", False)):
        person = make_person(name, "electrician")
        Certificate.objects.create(person=person, kind="electrician", number=f"EL-{name[0]}")
        if on_job:
            Member.objects.create(job=job, person=person, since=AT)
    frozen = gather(job, packet_of("permit packet"), "A", by=office, at=AT).inputs
    assert frozen["job"]["electrician"] == "Nils Aker, license EL-N"
    assert "Nils Aker, license EL-N" in dict(documents(frozen))["Setting sheet G-1"]


def test_the_sheets_of_the_wiring_name_the_electrician_and_not_the_engineer(job, office, released):
    frozen = gather(job, packet_of("permit packet"), "A", by=office, at=AT).inputs
    sheet = next(each for each in frozen["sheets"] if each["part"] == "ground_station")
    sheet["context"]["responsible"] = "electrician"
    page = dict(documents(frozen))[f"Setting sheet {sheet['number']}"]
    assert "<h3>Electrician</h3><strong>not named</strong>" in page and "<h3>Engineer</h3>" not in page
