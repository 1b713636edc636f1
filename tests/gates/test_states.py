"""A phase has one state, whoever shows it: the job book, the look-ahead and the phone of who works on it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crew.morning.office import JobMorning
from crew.phone.day import day_works
from installs.book.pages import rows
from installs.gates.facts import facts_of
from installs.gates.job_facts import CureFact, JobFacts, PermitFact
from installs.gates.states import phase_states
from installs.jobs.phases import PHASES, STARTABLE
from tests.make import AT, alma, make_job, make_person, make_release

ASKED = (PermitFact("building", "building permit", in_hand=False, asked=True),)
POURED = CureFact(ready=False, missing=("0.0 of 28 curing days",), expected=None, poured=True)
keys = st.frozensets(st.sampled_from(STARTABLE))
cures = st.none() | st.builds(
    CureFact, ready=st.booleans(), missing=st.just(()), expected=st.none(), poured=st.booleans()
)
known = st.builds(
    JobFacts,
    site_released=st.booleans(),
    permits=st.sampled_from([(), ASKED]),
    started=keys,
    finished=keys,
    cure=cures,
)


def state(key: str, **facts) -> str:
    return phase_states(JobFacts(**facts))[key]


@pytest.fixture
def ben(db):
    return make_person()


@pytest.fixture
def job(ben):
    return make_job(by=alma(), members=(ben,))


@given(facts=known)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_book_look_ahead_and_phone_say_the_same_of_any_job(job, ben, facts):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("installs.book.pages.facts_of", lambda job, at: facts)
        patch.setattr("crew.phone.day.load_facts", lambda jobs, at: {job.pk: facts})
        book = rows(job, AT)
        phone = {work.phase.key for work in day_works(ben, AT.date(), AT)}
    under_way = [row.phase for row in book if row.standing == "under way"]
    to_come = [row.phase for row in book if row.standing == "to come"]
    look_ahead = JobMorning(job, facts, AT.date()).current_phases
    assert look_ahead == ([p.title for p in under_way] or [p.title for p in to_come][:1])
    assert phone == {p.key for p in under_way if p.checklists}
    assert [row.phase.key for row in book if row.behind] == [
        p.key for p in PHASES if p not in under_way and p not in to_come
    ]


def test_a_permit_asked_for_does_not_say_that_the_site_was_surveyed():
    """A locate ticket or a hearing is often asked for before anyone has been at the site: common practice."""
    assert (state("survey", permits=ASKED), state("permits", permits=ASKED)) == ("under way", "under way")


def test_the_survey_is_done_with_the_release_of_the_site_or_work_that_stands_on_it():
    assert state("survey", site_released=True) == "done"
    assert state("survey", started=frozenset({"excavation"})) == "done"
    assert state("survey", started=frozenset({"survey"})) == "under way"


def test_a_tower_that_stands_does_not_make_its_concrete_cured():
    lifted = frozenset({"pour", "tower lift"})
    assert state("cure", cure=POURED, started=lifted, finished=lifted) == "under way"
    assert state("cure", cure=replace(POURED, ready=True)) == "done"


def test_a_finish_by_hand_does_not_end_what_is_judged_by_its_facts():
    assert state("cure", cure=POURED, finished=frozenset({"cure"})) == "under way"


def test_a_phase_with_a_start_and_a_finish_is_what_they_say():
    pour = {"pour"}
    assert state("pour") == "to come"
    assert state("pour", started=frozenset(pour)) == "under way"
    assert state("pour", started=frozenset(pour), finished=frozenset(pour)) == "done"


def test_a_released_site_is_a_fact_of_its_job(job, ben):
    assert not facts_of(job, AT).site_released
    make_release(job, "site", by=ben)
    assert facts_of(job, AT).site_released
    assert facts_of(job, AT).foundation_letter == ""
