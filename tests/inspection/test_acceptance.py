"""The concrete is accepted for the turbine by tests, or in writing by an engineer, and by nobody else."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from installs.files.models import StoredFile
from installs.gates.facts import facts_of
from installs.gates.services import gate_now
from installs.inspection.models import Inspection
from installs.inspection.services import record_inspection
from installs.jobs.services import add_member
from tests.make import alma, make_job, make_person

pytestmark = pytest.mark.django_db
NOW = timezone.now()
KIND = "concrete acceptance"


@pytest.fixture
def engineer():
    return make_person("Rhoda Kell, PE", "engineer")


@pytest.fixture
def office():
    return alma()


@pytest.fixture
def job(office, engineer):
    return make_job(by=office, members=(engineer,), at=NOW - timedelta(days=60))


def letter() -> SimpleUploadedFile:
    return SimpleUploadedFile("letter.pdf", b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n")


def sent(client, job, **fields):
    day = job.local(timezone.now()).date()
    data = {"kind": KIND, "inspector": "R. Kell", "inspected_on": day, "passed": "yes", "note": "", **fields}
    return client.post(f"/jobs/{job.number}/inspections/add/", data)


def turbine(job) -> str:
    return gate_now(job, "turbine lift", timezone.now()).sentence


def accepted(job) -> bool:
    return facts_of(job, timezone.now()).concrete_accepted


def test_the_office_alone_accepts_nothing_and_nothing_is_kept(client, job, office, engineer):
    client.force_login(office)
    answer = sent(client, job)
    assert answer.status_code == 422
    assert answer.context["form"].errors["engineer"] == ["Name the engineer who accepts the concrete."]
    answer = sent(client, job, engineer=engineer.pk)
    assert answer.status_code == 422
    assert "signed letter is needed" in answer.context["form"].errors["card"][0]
    answer = sent(client, job, engineer=office.pk, card=letter())
    assert "engineer" in answer.context["form"].errors
    assert not Inspection.objects.exists()
    assert not StoredFile.objects.exists()


def test_a_letter_that_cannot_be_read_is_said_at_its_field_and_nothing_is_kept(client, job, office, engineer):
    client.force_login(office)
    answer = sent(client, job, engineer=engineer.pk, card=SimpleUploadedFile("x.pdf", b"%PDF-1.7 half"))
    assert answer.status_code == 422
    assert "cut off" in answer.context["form"].errors["card"][0]
    assert not Inspection.objects.exists()


def test_the_office_with_the_engineers_signed_letter_accepts(client, job, office, engineer):
    client.force_login(office)
    assert sent(client, job, engineer=engineer.pk, card=letter()).status_code == 302
    assert accepted(job)


def test_the_engineer_signed_in_accepts_without_a_letter(client, job, engineer):
    client.force_login(engineer)
    assert sent(client, job).status_code == 302
    assert Inspection.objects.get().engineer == engineer
    assert accepted(job)


def test_an_engineer_records_no_other_inspection_and_in_no_other_engineers_name(client, job, engineer):
    client.force_login(engineer)
    assert "kind" in sent(client, job, kind="footing").context["form"].errors
    other = make_person("Sam Ode, PE", "engineer")
    assert "engineer" in sent(client, job, engineer=other.pk, card=letter()).context["form"].errors
    assert not Inspection.objects.exists()


def test_no_foreman_reaches_the_form(client, job):
    foreman = make_person()
    add_member(job, foreman, by=alma(), at=NOW)
    client.force_login(foreman)
    assert sent(client, job).status_code == 403


def test_a_pass_on_record_that_no_engineer_wrote_opens_nothing_and_the_gate_says_why(job, office, engineer):
    """As it stood in a database of before, or came in by another way."""
    day = job.local(NOW).date()
    row = Inspection.objects.create(job=job, kind=KIND, inspector="Lab", inspected_on=day, passed=True,
                                    recorded_by=office, recorded_at=NOW)  # fmt: skip
    assert not accepted(job)
    assert "does not count: no engineer is named" in turbine(job)
    row.engineer = engineer
    row.save()
    assert not accepted(job)
    assert "Rhoda Kell, PE's signed letter is not attached" in turbine(job)


def test_a_refusal_counts_whoever_wrote_it_and_an_unwritten_pass_does_not_lift_it(job, office, engineer):
    day = job.local(NOW).date() - timedelta(days=3)
    for by, passed, days in ((engineer, True, 0), (office, False, 1)):
        visit = Inspection(kind=KIND, inspector="R. K.", inspected_on=day + timedelta(days=days),
                           passed=passed)  # fmt: skip
        record_inspection(job, visit, by=by, at=NOW)
    assert not accepted(job)
    assert "did not pass" in turbine(job)
    Inspection.objects.create(job=job, kind=KIND, inspector="Lab", inspected_on=day + timedelta(days=2),
                              passed=True, recorded_by=office, recorded_at=NOW)  # fmt: skip
    assert not accepted(job)


def test_other_inspections_name_no_engineer(client, job, office, engineer):
    client.force_login(office)
    assert sent(client, job, kind="footing", number="F-1", engineer=engineer.pk).status_code == 302
    assert Inspection.objects.get().engineer is None
