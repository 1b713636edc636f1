"""The gates as the trade and the law ask them: each closed without its facts, open with all of them."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.gates.job_facts import CrewDates, CureFact, JobFacts, PermitFact, TowerFact, VisitFact
from installs.gates.rules import RULES, day_of, gate
from installs.jobs.phases import GATES, PHASES
from installs.lift.state import LiftState

DAY = date(2031, 5, 19)
LISTS = frozenset(p.key for p in PHASES if p.checklists)


PASSED = VisitFact(True, DAY)
EARLIER = date(2031, 5, 18)


def permit(kind: str, **fields) -> PermitFact:
    return PermitFact(kind=kind, words=kind, asked=True, **{"in_hand": True, **fields})


SIGNED = LiftState("A", True, {DAY: ()})
READY = JobFacts(
    permits=(
        permit("building", number="31-0288"),
        permit("locate", number="31-4", expires_on=date(2031, 5, 25)),
        permit("utility test"),
        permit("utility operation"),
        permit("electrical", number="E-31"),
    ),
    foundation_letter="B",
    station_letter="A",
    inspections={"footing": PASSED, "rough-in": PASSED, "electrical": PASSED},
    begun_on={"excavation": DAY, "ground station": DAY},
    ended_on={"excavation": DAY, "ground station": DAY},
    tests_missing=(),
    started=frozenset({"rotor up", "backfeed", "parallel for test"}),
    finished=frozenset(
        {"excavation", "pour", "tower assembly", "tower lift", "turbine lift", "ground station"}
    ),
    lists_copied=LISTS,
    cure=CureFact(ready=True, missing=(), expected=None, poured=True),
    tower=TowerFact(True, "all joints torqued"),
    lifts={"tower lift": SIGNED, "turbine lift": SIGNED},
    rotor_locked=True,
    concrete_accepted=True,
)


@pytest.mark.parametrize("key", GATES)
def test_a_gate_of_which_nothing_is_known_is_closed(key):
    state = gate(key, JobFacts(), DAY)
    assert not state.open
    assert state.missing
    assert state.sentence.startswith("Closed: ")


def test_an_unknown_gate_is_closed():
    assert not gate("wishes", READY, DAY).open


@pytest.mark.parametrize("key", GATES)
def test_a_gate_is_open_when_every_fact_is_in(key):
    assert gate(key, READY, DAY).open


def test_every_gate_named_at_a_phase_has_a_rule():
    assert {p.gate for p in PHASES if p.gate} <= set(RULES)
    assert set(GATES) == set(RULES)


NEEDED = [
    ("excavation", {"permits": READY.permits[1:]}, "building permit not requested"),
    ("excavation", {"permits": READY.permits[:1]}, "locate ticket not requested"),
    ("excavation", {"foundation_letter": ""}, "foundation not released"),
    ("excavation", {"foundation_unanswered": ("Frost depth",)}, "nobody accepted: Frost depth"),
    ("pour", {"foundation_letter": ""}, "foundation not released"),
    ("pour", {"inspections": {"footing": VisitFact(False, DAY)}}, "footing inspection did not pass"),
    (
        "pour",
        {"inspections": {"footing": VisitFact(True, DAY, proved=False)}},
        "footing inspection has neither card nor its number",
    ),
    ("pour", {"inspections": {"footing": VisitFact(True, EARLIER)}}, "older than the work, of May 19"),
    (
        "pour",
        {"inspections": {"footing": VisitFact(True, DAY, corrections=2)}},
        "footing inspection left 2 corrections not corrected",
    ),
    ("ground station", {"station_letter": ""}, "ground station not released"),
    ("ground station", {"station_unanswered": ("Rise",)}, "nobody accepted: Rise"),
    ("ground station", {"void": {"ground_station": "ground station A stands on"}}, "stands on"),
    ("ground station", {"permits": READY.permits[:4]}, "electrical permit not requested"),
    ("ground station", {"permits": READY.permits[4:]}, "locate ticket not requested"),
    ("excavation", {"permits": (permit("building", in_hand=False, unproved=True),)}, "by word only"),
    ("pour", {"inspections": {}}, "footing inspection not recorded"),
    ("pour", {"finished": frozenset()}, "excavation and rebar not finished"),
    (
        "pour",
        {"holds_missing": {"excavation": ("C16 Inspection before the pour passed",)}},
        "hold point C16 not recorded",
    ),
    ("tower lift", {"cure": None}, "no pour recorded"),
    (
        "tower lift",
        {"cure": CureFact(False, ("strength notice not written",), date(2031, 5, 27), True)},
        "strength notice",
    ),
    ("tower lift", {"tower": TowerFact(False, "joint 2 open")}, "joint 2 open"),
    ("tower lift", {"lifts": {}}, "lift plan not released"),
    ("tower lift", {"lifts": {"tower lift": replace(SIGNED, signed=False)}}, "lift plan A not signed"),
    (
        "tower lift",
        {"lifts": {"tower lift": replace(SIGNED, days={DAY: ("rigger's card expires May 18",)})}},
        "card expires",
    ),
    ("turbine lift", {"concrete_accepted": False}, "28-day acceptance"),
    ("turbine lift", {"finished": READY.finished - {"tower lift"}}, "tower lift not finished"),
    ("rotor up", {"rotor_locked": False}, "brake and rotor lock not recorded"),
    (
        "backfeed",
        {"inspections": {"electrical": VisitFact(False, DAY)}},
        "electrical inspection did not pass",
    ),
    ("backfeed", {"inspections": {"electrical": PASSED}}, "rough-in inspection not recorded"),
    (
        "backfeed",
        {"inspections": {**READY.inspections, "electrical": VisitFact(True, date(2001, 1, 1))}},
        "final electrical inspection of Jan 1, 2001 is older than the work, of May 19, 2031",
    ),
    ("backfeed", {"station_letter": ""}, "ground station not released"),
    ("backfeed", {"permits": READY.permits[:4]}, "electrical permit not requested"),
    ("operation", {"tests_missing": ("overspeed protection",)}, "test of overspeed protection not on record"),
    ("parallel for test", {"permits": READY.permits[:2]}, "written permission to test not requested"),
    ("operation", {"permits": READY.permits[:3]}, "utility's letter not requested"),
    ("operation", {"started": frozenset()}, "not tested in parallel yet"),
]


@pytest.mark.parametrize(("key", "without", "words"), NEEDED)
def test_one_missing_fact_closes_the_gate_and_is_named(key, without, words):
    state = gate(key, replace(READY, **without), DAY)
    assert not state.open
    assert words in state.sentence


def test_a_locality_that_does_not_inspect_footings_asks_for_no_inspection():
    facts = replace(READY, inspections={}, authority_inspects_footing=False)
    assert gate("pour", facts, DAY).open


def test_a_locality_that_asks_no_electrical_permit_asks_for_no_rough_in_either():
    facts = replace(
        READY,
        permits=READY.permits[:4],
        inspections={"footing": PASSED, "electrical": PASSED},
        authority_asks_electrical_permit=False,
    )
    assert gate("ground station", facts, DAY).open
    assert gate("backfeed", facts, DAY).open


def test_wiring_that_lies_nowhere_in_the_ground_needs_no_locate_ticket():
    facts = replace(READY, permits=READY.permits[4:], station_digs=False)
    assert gate("ground station", facts, DAY).open


def test_an_airspace_notice_once_filed_must_be_answered_before_digging():
    facts = replace(
        READY, permits=(*READY.permits, permit("airspace", in_hand=False, promised_on=date(2031, 6, 29)))
    )
    state = gate("excavation", facts, DAY)
    assert not state.open
    assert state.expected == date(2031, 6, 29)


def test_a_promise_that_has_passed_is_no_forecast():
    facts = replace(
        READY, permits=(permit("building", in_hand=False, promised_on=date(2031, 5, 1)), READY.permits[1])
    )
    state = gate("excavation", facts, DAY)
    assert state.expected is None
    assert state.sentence.endswith("No date yet.")


def test_the_forecast_is_the_latest_of_what_is_missing():
    facts = replace(
        READY,
        cure=CureFact(False, ("19.7 of 28 curing days",), date(2031, 5, 27), True),
        finished=READY.finished - {"tower assembly"},
        planned={"tower assembly": date(2031, 5, 29)},
    )
    assert gate("tower lift", facts, DAY).expected == date(2031, 5, 29)


def test_a_plan_forecasts_a_gate_and_never_opens_it():
    facts = replace(JobFacts(), planned={p.key: DAY for p in PHASES})
    assert not any(gate(key, facts, DAY).open for key in GATES)


# what a locality asks is no fact of the job, and a plan forecasts only
ASKED = ("planned", "authority_inspects_footing", "authority_asks_electrical_permit", "station_digs")


@given(
    st.lists(
        st.sampled_from([f.name for f in fields(JobFacts) if f.name not in ASKED]),
        unique=True,
        max_size=4,
    )
)
def test_taking_facts_away_never_opens_a_closed_gate(names):
    """Opening is monotone: fewer facts, fewer open gates."""
    blank = JobFacts()
    less = replace(
        READY, **{n: getattr(blank, n) for n in names if n not in ("foundation_unanswered", "holds_missing")}
    )
    worse = replace(less, inspections={}, cure=None)
    for key in GATES:
        if gate(key, worse, DAY).open:
            assert gate(key, less, DAY).open


def test_a_permit_is_judged_by_its_life_on_the_day_that_is_asked():
    """A permit in hand today is none on a day after its last; another day might do, so the day is unfit."""
    runs_out = permit("building", number="31-0288", expires_on=DAY + timedelta(days=3))
    facts = replace(READY, permits=(runs_out, *READY.permits[1:]))
    later = gate("excavation", facts, DAY + timedelta(days=4), today=DAY)
    assert gate("excavation", facts, DAY, today=DAY).open
    assert later.unfit == ("building permit not in date (to May 22)",)
    begins = replace(runs_out, valid_from=DAY + timedelta(days=1))
    assert not gate("excavation", replace(facts, permits=(begins, *READY.permits[1:])), DAY).open


def test_what_is_promised_before_the_day_that_is_asked_is_not_late():
    promised = DAY + timedelta(days=5)
    waits = replace(READY, permits=(permit("building", in_hand=False, promised_on=promised),))
    ahead = gate("excavation", waits, DAY + timedelta(days=9), today=DAY)
    assert not ahead.waits_outside and ahead.expected == promised and ahead.for_day == ", Wed May 28"


def test_a_gate_is_about_its_crew_day_else_the_plans_own_day_else_today():
    later = DAY + timedelta(days=2)
    assert day_of("tower lift", JobFacts(), DAY) == DAY
    facts = replace(JobFacts(), lifts={"tower lift": replace(SIGNED, days={later: ()})})
    assert day_of("tower lift", facts, DAY) == later
    # about the day of work, wherever it was moved; once none is ahead, about the day kept free
    lift_days = CrewDates(work=(EARLIER, DAY + timedelta(days=1)), kept_free=(DAY, DAY + timedelta(days=4)))
    planned = replace(facts, crew_days={"tower lift": lift_days, "commissioning": CrewDates((later,))})
    assert day_of("tower lift", planned, DAY) == DAY + timedelta(days=1)
    assert day_of("tower lift", planned, later) == DAY + timedelta(days=4)
    assert day_of("backfeed", planned, DAY) == later
    passed = replace(planned, started=frozenset({"tower lift"}), begun_on={"tower lift": EARLIER})
    assert day_of("tower lift", passed, DAY) == EARLIER


def test_a_day_of_another_year_than_the_one_that_is_asked_says_its_year():
    """In December one plans January: a sentence without the year would be of last January."""
    asked, ends = date(2031, 12, 30), date(2032, 1, 4)
    ticket = permit("locate", number="31-4", expires_on=ends)
    facts = replace(READY, permits=(READY.permits[0], ticket))
    assert "good to Sun Jan 4, 2032" in gate("excavation", facts, asked).sentence
    assert "good to Sun Jan 4," not in gate("excavation", facts, ends).sentence
    waits = replace(READY, permits=(permit("building", in_hand=False, promised_on=ends), ticket))
    state = gate("excavation", waits, ends, today=asked)
    assert state.sentence.endswith("Expected Sun Jan 4, 2032.") and state.for_day == ", Sun Jan 4, 2032"
    plan = LiftState("A", True, {asked: (), ends: ()})
    assert plan.unfit_for(date(2031, 12, 31)) == (
        "lift plan A is for Tue Dec 30, 2031 and Sun Jan 4, 2032, not for Wed Dec 31, 2031"
    )
    assert LiftState("A", True, {asked: ()}).unfit_for(date(2031, 12, 31)) == (
        "lift plan A is for Tue Dec 30, not for Wed Dec 31"
    )
