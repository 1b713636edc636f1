"""Jobs: locked changes, one log line each, releases frozen, deviations that stand."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from django.core.exceptions import ValidationError

from installs.jobs import services
from installs.jobs.models import Event
from installs.jobs.sealing import chain_faults
from sitecalc.checks import Known, compare, not_checked
from tests.make import AT, make_job, make_person

pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Results:
    yards: float = 33.3


def passing(key="bearing"):
    return compare(key, "Bearing", demand=1.0, capacity=2.0, unit="psf", source="test", known=Known.PRACTICE)


def failing(key="frost"):
    return compare(key, "Frost", demand=4.5, capacity=3.0, unit="ft", source="test", known=Known.PRACTICE)


def unknown(key="water"):
    return not_checked(key, "Water", "Highest water is not given.", source="test", known=Known.PRACTICE)


INPUTS = {"side_ft": 15.0}


def release(job, checks, inputs=INPUTS):
    return services.release_design(
        job, "foundation", inputs, Results(), checks, by=make_person(role="office"), at=AT
    )


def test_a_design_whose_checks_pass_is_released_under_the_next_letter():
    job = make_job()
    assert release(job, [passing()]).letter == "A"
    assert release(job, [passing()]).letter == "B"


@pytest.mark.parametrize("bad", [failing(), unknown()])
def test_neither_a_failed_nor_an_unchecked_check_is_released_without_an_engineer(bad):
    job = make_job()
    with pytest.raises(ValidationError, match="engineer"):
        release(job, [passing(), bad])
    assert not job.revisions.exists()


def test_a_design_in_which_nothing_was_checked_is_not_released():
    with pytest.raises(ValidationError, match="Nothing was checked"):
        release(make_job(), [])


def test_an_engineers_written_acceptance_lets_the_release_through_and_travels_with_it():
    job, engineer = make_job(), make_person("P. Lindqvist", "engineer")
    services.accept_draft_check(job, "foundation", INPUTS, failing(), "insulated", by=engineer, at=AT)
    revision = release(job, [passing(), failing()])
    accepted = revision.acceptances.get()
    assert (accepted.check_key, accepted.engineer, accepted.reason) == ("frost", engineer, "insulated")


def test_an_acceptance_is_bound_to_the_numbers_it_was_given_for():
    job, engineer = make_job(), make_person("P. Lindqvist", "engineer")
    services.accept_draft_check(job, "foundation", INPUTS, failing(), "insulated", by=engineer, at=AT)
    with pytest.raises(ValidationError):
        release(job, [failing()], {"side_ft": 14.0})


@pytest.mark.parametrize("role", ["office", "foreman", "crew", "electrician"])
def test_nobody_but_an_engineer_accepts_a_check(role):
    with pytest.raises(ValidationError, match="engineer"):
        services.accept_draft_check(
            make_job(), "foundation", INPUTS, failing(), "fine", by=make_person(role=role), at=AT
        )


def test_letters_skip_i_and_o_as_drawings_do():
    letters = []
    for _ in range(26):
        letters.append(services.next_letter(letters))
    assert letters[:9] == list("ABCDEFGHJ")
    assert "I" not in letters
    assert "O" not in letters
    assert letters[24:] == ["AA", "AB"]
    assert len(set(letters)) == len(letters)


def test_every_service_writes_one_line_and_the_log_is_whole():
    job = make_job()
    before = job.events.count()
    services.change_job(job, {"owner": "Another"}, by=make_person(), at=AT)
    assert job.events.count() == before + 1
    assert chain_faults(job) == []


def test_an_altered_line_of_the_log_is_found():
    job = make_job()
    services.change_job(job, {"owner": "Another"}, by=make_person(), at=AT)
    Event.objects.filter(job=job, sequence=1).update(what="nothing happened")
    assert "line 1 was altered" in chain_faults(job)


def test_a_line_taken_out_of_the_log_is_found():
    job = make_job()
    for owner in "ABC":
        services.change_job(job, {"owner": owner}, by=make_person(), at=AT)
    Event.objects.filter(job=job, sequence=2).delete()
    assert chain_faults(job)


def test_a_deviation_stands_until_it_is_answered_with_a_reason():
    job, engineer = make_job(), make_person("P. Lindqvist", "engineer")
    deviation = services.open_deviation(job, "frozen edge", "blanket blew off", by=engineer, at=AT)
    assert deviation.is_open
    with pytest.raises(ValidationError):
        services.answer_deviation(deviation, "accept", "  ", by=engineer, at=AT)
    with pytest.raises(ValidationError):
        services.answer_deviation(deviation, "forget", "because", by=engineer, at=AT)
    services.answer_deviation(deviation, "repair", "core drilled, edge replaced", by=engineer, at=AT)
    assert not job.deviations.get().is_open


def test_a_job_number_is_a_year_and_a_number(client):
    client.force_login(make_person("Alma Reyes", "office"))
    form = {
        "number": "31-14",
        "owner": "A",
        "place": "B",
        "county": "C",
        "state": "Nd",
        "zone": "America/Chicago",
    }
    response = client.post("/jobs/open/", form)
    assert response.status_code == 422
    assert b"2031-014" in response.content
    assert client.post("/jobs/open/", {**form, "number": "2031-014"}).status_code == 302


def test_a_time_zone_that_does_not_exist_is_said_at_its_field(client):
    client.force_login(make_person("Alma Reyes", "office"))
    form = {
        "number": "2031-014",
        "owner": "A",
        "place": "B",
        "county": "C",
        "state": "ND",
        "zone": "Plum/Creek",
    }
    response = client.post("/jobs/open/", form)
    assert response.status_code == 422
    assert b"Not a time zone" in response.content


def test_an_answer_that_is_refused_comes_back_with_what_was_typed(client):
    office, job = make_person("Alma Reyes", "office"), make_job()
    deviation = services.open_deviation(job, "frozen edge", "blanket blew off", by=office, at=AT)
    client.force_login(office)
    url = f"/jobs/{job.number}/deviations/{deviation.number}/answer/"
    response = client.post(url, {"decision": "", "reason": "core drilled at the edge"})
    assert response.status_code == 422
    assert b"core drilled at the edge" in response.content
    assert job.deviations.get().is_open
    client.post(url, {"decision": "repair", "reason": "core drilled at the edge"})
    assert not job.deviations.get().is_open
