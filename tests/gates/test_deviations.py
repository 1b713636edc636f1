"""What deviated holds the gate of what is built on it, named, until somebody who may has accepted it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from crew.morning.look_ahead import deviation_words
from crew.morning.office import load_morning
from installs.gates.facts import facts_of
from installs.gates.rules import gate
from installs.jobs.deviations import (
    BEGUN_TOO_EARLY,
    BY_CARD,
    COLD_JOINT,
    FROZEN_CONCRETE,
    FROZEN_GROUND,
    KINDS,
    LOW_BREAK,
    NO_FOOTING,
    OTHER,
    POUR_STOPPED,
    THAW_UNKNOWN,
    TRUCK_OVER,
    TRUCK_UNDECIDED,
    held_by,
)
from installs.jobs.kept import Kept
from installs.jobs.phases import GATES, STARTABLE, gate_of
from installs.jobs.services import answer_deviation, open_deviation
from installs.papers.gathering import open_deviations
from tests.gates.test_rules import DAY, READY
from tests.make import AT, alma, make_person

CONCRETE = (
    COLD_JOINT,
    TRUCK_OVER,
    TRUCK_UNDECIDED,
    FROZEN_GROUND,
    THAW_UNKNOWN,
    FROZEN_CONCRETE,
    POUR_STOPPED,
    LOW_BREAK,
)


@pytest.mark.parametrize("kind", [*CONCRETE, NO_FOOTING, BEGUN_TOO_EARLY["pour"]], ids=lambda kind: kind.key)
def test_what_becomes_of_concrete_is_the_engineers_answer_and_holds_the_tower(kind) -> None:
    assert kind.by_engineer
    assert kind.holds == "tower lift"


def test_a_pour_on_the_inspectors_card_holds_the_tower_until_the_inspection_is_recorded() -> None:
    assert BY_CARD.holds == "tower lift"


def test_whatever_has_a_gate_and_is_begun_too_early_holds_a_later_gate() -> None:
    begun = {key for key in STARTABLE if gate_of(key)}
    assert set(BEGUN_TOO_EARLY) == begun
    for key in begun - {"operation"}:
        assert GATES.index(BEGUN_TOO_EARLY[key].holds) > GATES.index(gate_of(key))


def test_a_kind_that_this_program_does_not_know_holds_the_tower_if_the_engineer_answers_it() -> None:
    assert held_by("of a newer program", engineer_decides=True) == "tower lift"
    assert held_by("of a newer program", engineer_decides=False) == ""


@pytest.mark.parametrize("key", GATES)
def test_no_gate_opens_over_what_it_is_held_by(key: str) -> None:
    held = replace(READY, held={key: ("deviation 3 (joint between trucks 2 and 3) not answered",)})
    state = gate(key, held, DAY)
    assert not state.open
    assert "deviation 3 (joint between trucks 2 and 3) not answered" in state.sentence


def missing(job) -> str:
    return gate("tower lift", facts_of(job, AT), job.local(AT).date()).sentence


@pytest.mark.django_db
def test_the_gate_names_it_until_the_engineer_has_accepted_what_was_repaired(job) -> None:
    ben, nadia = make_person(), make_person("Nadia Engineer", role="engineer")
    deviation = open_deviation(job, "joint between trucks 2 and 3", "96 min.", by=ben, at=AT, kind=COLD_JOINT)
    assert "deviation 1 (joint between trucks 2 and 3) not answered by the engineer" in missing(job)
    answer_deviation(deviation, "repair", "Core, then inject.", by=nadia, at=AT)
    assert (
        "deviation 1 (joint between trucks 2 and 3) is to be repaired, and that is not accepted"
        in missing(job)
    )
    answer_deviation(deviation, "accept", "Cores whole.", by=nadia, at=AT)
    assert "deviation 1" not in missing(job)


@pytest.mark.django_db
def test_what_holds_no_gate_is_kept_and_shown_only(job) -> None:
    open_deviation(job, "late line", "in the log", by=make_person(), at=AT)
    assert OTHER.holds == ""
    assert "late line" not in missing(job)
    assert set(KINDS) >= {job.deviations.get().kind}


@pytest.mark.django_db
def test_what_is_to_be_repaired_stays_on_every_list_of_open_ones_until_that_is_accepted(job, client) -> None:
    """As long as it holds its gate: look-ahead, papers and job book have one rule of what is open."""
    nadia = make_person("Nadia Engineer", role="engineer")
    deviation = open_deviation(job, "joint of two trucks", "96 min.", by=nadia, at=AT, kind=COLD_JOINT)
    client.force_login(alma())

    def lists() -> tuple[list[str], list[str], bool]:
        Kept.forget()
        (morning,) = load_morning(AT, alma()).jobs
        book = client.get(f"/jobs/{job.number}/").content.decode()
        return deviation_words(morning), [d["ordered"] for d in open_deviations(job)], "1 deviation" in book

    assert lists() == (["D-1 open 0 d: joint of two trucks"], [""], True)
    answer_deviation(deviation, "repair", "Core, then inject.", by=nadia, at=AT)
    ordered = "to be repaired"
    assert lists() == ([f"D-1 open 0 d: joint of two trucks, {ordered}"], [ordered], True)
    assert f"Deviation 1 open, {ordered}" in client.get(f"/jobs/{job.number}/").content.decode()
    answer_deviation(deviation, "accept", "Injected, cores whole.", by=nadia, at=AT)
    assert lists() == ([], [], False)
