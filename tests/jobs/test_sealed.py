"""What was altered in the database is not built from: gate, paper and the next release refuse it in words."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError

from installs.gates.services import gate_now
from installs.jobs.confirming import confirm_release
from installs.jobs.models import Confirmation, DesignRevision, DraftAcceptance, Job
from installs.jobs.reading import one_reading
from installs.jobs.sealing import digest, release_hash
from installs.jobs.services import release_design
from installs.jobs.standing import void
from installs.lift.models import TOWER_LIFT, LiftSignature
from installs.lift.review import load_lifts
from installs.lift.services import sign_plan
from installs.papers.services import order_paper
from installs.record.services import check_record
from sitecalc.checks import Known, Rule
from tests.jobs.test_standing import Season
from tests.lift.kit import make_kit
from tests.make import AT, make_person
from tests.record.test_faults import LATER, written

pytestmark = pytest.mark.django_db
ALTERED = "foundation A was altered after it was released"


@pytest.fixture
def season() -> Season:
    made = Season()
    for part in ("site", "turbine", "tower", "foundation", "pour"):
        made.release(part)
    return made


def narrowed(job: Job) -> DesignRevision:
    """The gap around the anchor bolts, 1.0 in as it was released, is 0.5 in the database."""
    revision = job.revisions.get(part="foundation")
    assert revision.inputs["anchor_gap_in"] == 1.0
    revision.inputs["anchor_gap_in"] = 0.5
    revision.save()
    return revision


def sealed_anew(job: Job) -> None:
    revision = narrowed(job)
    revision.sha256 = release_hash(revision)
    revision.save()


def sealed_anew_with_its_line(job: Job) -> None:
    sealed_anew(job)
    line = job.events.filter(verb="design released", data__part="foundation").get()
    line.data["sha256"] = job.revisions.get(part="foundation").sha256
    line.save()


@pytest.mark.parametrize("alter", [narrowed, sealed_anew, sealed_anew_with_its_line])
def test_an_altered_release_closes_the_gate_and_is_printed_nowhere(season, alter: Callable) -> None:
    office, job = season.cast["alma"], season.job
    assert "altered" not in gate_now(job, "pour", season.now).sentence
    order_paper(job, "foundation sheets", by=office, at=season.now)
    alter(job)
    state = gate_now(job, "pour", season.now)
    assert not state.open and any(words.startswith(ALTERED) for words in state.missing)
    for kind in ("foundation sheets", "permit packet"):
        with pytest.raises(ValidationError) as refused:
            order_paper(job, kind, by=office, at=season.now)
        assert any(words.startswith(f"F{ALTERED[1:]}") for words in refused.value.messages)
    assert any("foundation release A" in words for words in check_record(job, at=AT).faults)
    season.release("foundation")
    assert season.void("foundation") == ""


def test_what_stands_on_an_altered_release_stands_no_more_and_is_not_released(season) -> None:
    tower = season.job.revisions.get(part="tower")
    DesignRevision.objects.filter(pk=tower.pk).update(results={})
    assert "which is void: tower A was altered" in season.void("foundation")
    with pytest.raises(ValidationError, match=r"Tower A was altered .* Release that part again first"):
        season.release("foundation")


def test_nobodys_word_makes_an_altered_release_stand(season) -> None:
    revision = narrowed(season.job)
    with pytest.raises(ValidationError, match="Not confirmed: foundation A was altered"):
        confirm_release(revision, "it stands", by=season.cast["lindqvist"], at=season.now)


def test_in_one_request_the_answer_is_given_once(season, django_assert_num_queries) -> None:
    with one_reading():
        revision = season.job.revisions.get(part="foundation")
        void(revision)
        with django_assert_num_queries(0):
            void(revision)


@pytest.mark.parametrize("change", [{"reason": "because"}, {"check_key": "frost2"}, {"accepted_at": LATER}])
def test_an_acceptance_that_no_engineer_gave_lets_nothing_pass(change) -> None:
    job = written()
    revision = job.revisions.get()
    assert void(revision) == ""
    revision.acceptances.update(**change)
    assert "foundation A has an acceptance that no engineer gave: frost" in void(revision)


def test_a_drafts_acceptance_that_no_engineer_gave_releases_nothing() -> None:
    """Given for other figures, and bound in the database to these."""
    job, inputs = written(), {"side_ft": 14.0}
    DraftAcceptance.objects.filter(job=job).update(inputs_sha256=digest(inputs))
    frost = Rule("frost", "Frost", "ft", "test", Known.PRACTICE).compare(demand=4.5, capacity=3.0)
    with pytest.raises(ValidationError, match="written acceptance is required"):
        release_design(job, "foundation", inputs, {}, [frost], by=make_person(role="office"), at=AT)


def test_a_signature_that_the_log_does_not_know_signs_nothing() -> None:
    kit = make_kit()
    revision = kit.release()
    for role, by in (("lift director", kit.people["lift_director"]), ("operator", kit.office)):
        sign_plan(kit.job, TOWER_LIFT, "A", role, by=by, at=AT)
    assert load_lifts([kit.job])[kit.job.pk, TOWER_LIFT].signed
    LiftSignature.objects.filter(revision=revision, role="operator").update(person=make_person())
    assert not load_lifts([kit.job])[kit.job.pk, TOWER_LIFT].signed
    assert any(words.startswith("Signatures: ") for words in check_record(kit.job, at=AT).faults)


def test_a_confirmation_that_was_altered_counts_no_more(season) -> None:
    season.change("tower", moment_kip_ft=600.0)
    season.release("tower")
    revision = season.job.revisions.get(part="foundation")
    season.tick()
    confirm_release(revision, "it stands", by=season.cast["lindqvist"], at=season.now)
    assert season.void("foundation") == ""
    Confirmation.objects.update(reason="it stands well")
    assert season.void("foundation")
    assert any(words.startswith("Confirmations: ") for words in check_record(season.job, at=AT).faults)
