"""Jobs: locked changes, one log line each, releases frozen, deviations that stand."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from django.core.exceptions import ValidationError

from installs.gates import facts
from installs.jobs import services
from installs.jobs.design_views import _notes, counted
from installs.jobs.models import Event
from installs.jobs.sealing import chain_faults
from installs.papers import pages
from sitecalc.__main__ import plain
from sitecalc.checks import Known, Rule
from tests.make import AT, as_drawn, make_job, make_person

pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Results:
    yards: float = 33.3


def passing(key="bearing"):
    return Rule(key, "Bearing", "psf", "test", Known.PRACTICE).compare(demand=1.0, capacity=2.0)


def failing(key="frost"):
    return Rule(key, "Frost", "ft", "test", Known.PRACTICE).compare(demand=4.5, capacity=3.0)


def unknown(key="water"):
    return Rule(key, "Water", "", "test", Known.PRACTICE).open("Highest water is not given.")


def aside(key="pullout"):
    return Rule(key, "Pullout", "kip", "test", Known.PRACTICE).not_asked("No bolt is in uplift.")


INPUTS = {"side_ft": 15.0}


def release(job, checks, inputs=INPUTS):
    return services.release_design(
        job, "foundation", inputs, Results(), checks, by=make_person(role="office"), at=AT
    )


def test_a_design_whose_checks_pass_is_released_under_the_next_letter():
    job = make_job()
    assert release(job, [passing()]).letter == "A"
    assert release(job, [passing()], {"side_ft": 15.5}).letter == "B"


def test_what_is_in_force_is_not_released_again_under_another_letter():
    """The second press of a button: a letter more would void what was signed for the first."""
    job = make_job()
    release(job, [passing()])
    with pytest.raises(ValidationError, match="The same as release A, which is in force"):
        release(job, [passing()])
    assert [revision.letter for revision in job.revisions.all()] == ["A"]


@pytest.mark.parametrize("bad", [failing(), unknown()])
def test_neither_a_failed_nor_an_unchecked_check_is_released_without_an_engineer(bad):
    job = make_job()
    with pytest.raises(ValidationError, match="engineer"):
        release(job, [passing(), bad])
    assert not job.revisions.exists()


def test_a_design_in_which_nothing_was_checked_is_not_released():
    with pytest.raises(ValidationError, match="Nothing was checked"):
        release(make_job(), [])


def test_what_does_not_apply_stands_in_the_release_and_needs_no_acceptance():
    job = make_job()
    revision = release(job, [passing(), aside()])
    assert [c["verdict"] for c in revision.checks] == ["passes", "does not apply"]
    assert not revision.acceptances.exists()
    assert facts._unanswered(revision, {revision.pk: revision.checks}) == ()


def test_what_does_not_apply_is_nothing_that_an_engineer_could_accept():
    with pytest.raises(ValidationError, match="does not apply; there is nothing to accept"):
        services.accept_draft_check(
            make_job(), "foundation", INPUTS, aside(), "Fine.", by=make_person(role="engineer"), at=AT
        )


def test_a_design_of_which_nothing_applies_was_not_checked():
    """It is not released, and a release that is so all the same opens no gate."""
    with pytest.raises(ValidationError, match="Nothing was checked"):
        release(make_job(), [aside()])
    revision = release(make_job(), [passing()])
    revision.checks = plain([aside()])
    assert facts._unanswered(revision, {revision.pk: revision.checks}) == ("nothing was checked",)


def test_what_does_not_apply_is_counted_apart_from_what_passes():
    checks = [passing(), failing(), aside(), aside("bending")]
    assert counted(checks) == "1 check fails, 1 passes, 2 do not apply"
    assert counted([passing(), passing(), aside()]) == "2 pass, 1 does not apply"


def test_what_does_not_apply_is_not_folded_among_those_that_pass_easily():
    many = [passing(f"easy {n}") for n in range(20)]
    notes = _notes([*many, aside()], {})
    assert [note["check"].key for note in notes["aside_notes"]] == ["pullout"]
    assert all(note["check"].passes for note in notes["notes"] + notes["easy_notes"])


def test_a_paper_names_what_does_not_apply_and_does_not_ask_for_its_acceptance():
    release_of_it = {"checks": plain([passing(), aside()]), "acceptances": {}}
    assert pages.accepted({"releases": [release_of_it]}) == []
    last = pages.worst_first(release_of_it["checks"])[-1]
    assert last["verdict"] == "does not apply" and "does not apply" in last["gauge"]
    assert "not checked" not in last["gauge"]


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
    services.answer_deviation(deviation, "repair", "core drill, replace the edge", by=engineer, at=AT)
    assert job.deviations.get().is_open
    services.answer_deviation(deviation, "accept", "edge replaced, cores whole", by=engineer, at=AT)
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
    client.post(url, {"decision": "accept", "reason": "core drilled at the edge", **as_drawn(client, url)})
    assert not job.deviations.get().is_open
