"""How far each part is, from the facts of the gates: never further than the record says."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import pytest

from installs.gates.job_facts import CrewDates, CureFact, JobFacts, VisitFact
from installs.picture.scene import State
from installs.picture.states import RULES, next_step, part_states
from tests.picture.scenes import ORDINARY

TODAY = date(2031, 5, 20)
LETTERS = {"site": "A", "foundation": "B", "tower": "A", "turbine": "A", "ground_station": "C"}


def cure(**fields) -> CureFact:
    given = {"ready": False, "missing": ("28 curing days",), "expected": date(2031, 6, 2), "poured": True}
    return CureFact(
        **{**given, "poured_on": date(2031, 5, 5), "curing_days": 12.4, "days_required": 28.0, **fields}
    )


def stand(key: str, facts: JobFacts = JobFacts(), known=LETTERS, deviations=()) -> tuple[State, str]:  # noqa: B008
    found = part_states(facts, known, deviations, TODAY)[key]
    return found.state, found.said


def deviation(number: int, gate: str):
    return SimpleNamespace(number=number, gate=gate, entry=None)


def done(*phases: str) -> JobFacts:
    return JobFacts(
        started=frozenset(phases),
        finished=frozenset(phases),
        ended_on=dict.fromkeys(phases, date(2031, 5, 12)),
        begun_on=dict.fromkeys(phases, date(2031, 5, 11)),
    )


@pytest.mark.parametrize("key", RULES)
def test_of_an_empty_job_nothing_is_known(key: str) -> None:
    assert stand(key, known={}) == (State.NOTHING, "nothing known")


@pytest.mark.parametrize("key", RULES)
def test_a_draft_is_drafted_and_a_release_has_its_letter(key: str) -> None:
    assert stand(key, known=dict.fromkeys(LETTERS, "")) == (State.DRAFTED, "drafted, not released")
    letter = LETTERS[RULES[key].drawn_by[0]]
    assert stand(key) == (State.RELEASED, f"released {letter}")


def test_the_pad_from_the_dig_to_the_cure() -> None:
    digging = JobFacts(started=frozenset({"excavation"}), begun_on={"excavation": date(2031, 5, 19)})
    assert stand("pad", digging) == (State.UNDER_WAY, "digging and tying steel since May 19")
    assert stand("pad", done("excavation")) == (State.UNDER_WAY, "dug, steel tied May 12")
    poured = JobFacts(
        started=frozenset({"excavation", "pour"}), finished=frozenset({"excavation", "pour"}), cure=cure()
    )
    assert stand("pad", poured) == (State.UNDER_WAY, "poured May 5, 12.4 of 28 curing days")
    cured = JobFacts(started=poured.started, finished=poured.finished, cure=cure(ready=True))
    assert stand("pad", cured)[0] == State.BUILT
    assert part_states(poured, LETTERS, (), TODAY)["pad"].maturity == pytest.approx(12.4 / 28)
    assert part_states(digging, LETTERS, (), TODAY)["pad"].maturity is None


def test_a_pad_of_which_no_days_are_known_is_fresh() -> None:
    """Unknown never counts as hard."""
    unknown = JobFacts(started=frozenset({"pour"}), cure=cure(days_required=None))
    assert part_states(unknown, LETTERS, (), TODAY)["pad"].maturity == 0.0


def test_a_tower_bolted_on_the_ground_does_not_stand() -> None:
    assert stand("tower", done("tower assembly")) == (State.UNDER_WAY, "bolted on the ground May 12")
    assert stand("tower", done("tower assembly", "tower lift")) == (State.BUILT, "stands May 12")
    assert stand("turbine", done("tower lift"))[0] == State.RELEASED


def test_a_release_that_no_longer_stands_is_void_even_where_it_was_built_from() -> None:
    facts = JobFacts(
        void={"foundation": "foundation B stands on tower A with 470 kip-ft; tower B is in force"}
    )
    state, said = stand("pad", facts)
    assert state == State.VOID
    assert said == "void: foundation B stands on tower A with 470 kip-ft, released B"
    assert stand("tower", facts)[0] == State.RELEASED


@pytest.mark.parametrize(
    ("gate", "key"),
    [
        ("pour", "pad"),
        ("tower lift", "tower"),
        ("turbine lift", "turbine"),
        ("backfeed", "turbine"),
        ("", "pad"),
    ],
)
def test_an_open_deviation_holds_the_part_that_it_is_about(gate: str, key: str) -> None:
    found = part_states(JobFacts(), LETTERS, [deviation(4, gate)], TODAY)
    assert [k for k, each in found.items() if each.state == State.HELD] == [key]
    assert found[key].said.startswith("held by D-4") and found[key].deviation == 4


def test_an_inspection_that_did_not_pass_holds_and_one_that_passed_is_named() -> None:
    failed = JobFacts(inspections={"rough-in": VisitFact(passed=False, on=date(2031, 5, 18))})
    assert stand("trench", failed) == (State.HELD, "held: inspection May 18 did not pass, released A")
    seen = JobFacts(
        started=frozenset({"ground station"}),
        begun_on={"ground station": date(2031, 5, 10)},
        inspections={"rough-in": VisitFact(passed=True, on=date(2031, 5, 18))},
    )
    assert stand("trench", seen) == (State.UNDER_WAY, "being wired since May 10, inspected May 18")


def test_a_crane_pad_has_served_once_the_crane_has_come_and_not_before() -> None:
    assert stand("crane pad", done("excavation"))[0] == State.RELEASED
    assert stand("crane pad", done("tower lift")) == (State.BUILT, "used for the tower lift May 11")


def test_the_next_step_has_its_crew_day_else_the_day_before_which_it_cannot_be() -> None:
    days = {"tower assembly": CrewDates(work=(date(2031, 5, 19), date(2031, 5, 22)))}
    begun = frozenset({"excavation", "pour"})
    facts = JobFacts(started=begun, finished=begun, cure=cure(), crew_days=days)
    found = part_states(facts, LETTERS, (), TODAY)
    assert found["tower"].next == "Bolt the tower together, Thu May 22"
    assert (
        found["pad"].next.startswith("Dig the pad") or found["pad"].next == "Let the pad cure, to Mon Jun 2"
    )
    assert found["line"].next == "Commission the turbine, no date yet"
    assert (next_step(facts, TODAY).words, next_step(facts, TODAY).on) == (
        "Bolt the tower together, Thu May 22",
        date(2031, 5, 22),
    )


def test_a_day_behind_is_no_next_step() -> None:
    facts = JobFacts(crew_days={"excavation": CrewDates(work=(date(2031, 5, 1),))})
    assert next_step(facts, TODAY).on is None


def test_every_part_of_the_rules_can_be_drawn() -> None:
    from installs.picture.words import ORDER, listed

    assert set(ORDER) == set(RULES)
    assert listed(ORDINARY, part_states(JobFacts(), LETTERS, (), TODAY)) == list(ORDER)
