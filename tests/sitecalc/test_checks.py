"""What a verdict is. Rules of the program."""

from __future__ import annotations

import math

import pytest

from sitecalc.checks import Known, Rule, Verdict, nothing_checked, worst_first

BEARING = Rule("bearing", "Bearing", "psf", "IBC 2021, 1806.2", Known.READ)


@pytest.mark.parametrize(("demand", "capacity"), [(math.nan, 1.0), (1.0, math.inf), (1.0, math.nan)])
def test_what_is_no_number_never_passes(demand: float, capacity: float) -> None:
    assert BEARING.compare(demand=demand, capacity=capacity).verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize(
    ("demand", "capacity", "verdict"),
    [
        (1.0, 0.0, Verdict.FAILS),
        (1.0, -1.0, Verdict.FAILS),
        (0.0, -1.0, Verdict.FAILS),
        (0.0, 0.0, Verdict.PASSES),
        (2_500.0, 2_500.0, Verdict.PASSES),
        (2_501.0, 2_500.0, Verdict.FAILS),
    ],
)
def test_demand_is_at_most_the_capacity(demand: float, capacity: float, verdict: Verdict) -> None:
    assert BEARING.compare(demand=demand, capacity=capacity).verdict is verdict


def test_what_does_not_apply_is_no_pass_and_asks_nobody() -> None:
    aside = BEARING.not_asked("The pad stands on rock.")
    assert aside.verdict == "does not apply" and not aside.passes and not aside.needs_answer
    assert BEARING.open("Soil is not known.").needs_answer
    assert (aside.ratio, aside.demand, aside.capacity) == (None, None, None)


def test_the_worst_comes_first_and_last_what_does_not_apply() -> None:
    checks = [
        BEARING.not_asked("rock"),
        BEARING.compare(demand=1, capacity=2),
        BEARING.open("unknown"),
        BEARING.compare(demand=3, capacity=2),
    ]
    order = [Verdict.FAILS, Verdict.NOT_CHECKED, Verdict.PASSES, Verdict.DOES_NOT_APPLY]
    assert [c.verdict for c in worst_first(checks)] == order


def test_a_list_on_which_nothing_applies_has_checked_nothing() -> None:
    assert nothing_checked([]) and nothing_checked([Verdict.DOES_NOT_APPLY])
    assert not nothing_checked([Verdict.DOES_NOT_APPLY, Verdict.PASSES])


def test_a_rule_as_an_edition_states_it_keeps_its_key() -> None:
    older = BEARING.stated(source="IBC 2018, 1806.2", known=Known.MEMORY)
    check = older.compare(demand=1, capacity=2)
    assert (check.key, check.title) == ("bearing", "Bearing")
    assert check.source_note == "IBC 2018, 1806.2 (clause not verified)"
