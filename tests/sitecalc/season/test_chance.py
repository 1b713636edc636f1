"""Many seasons of a plan: held to a textbook's PERT example and to closed forms of waiting."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sitecalc.inputs import InputError
from sitecalc.season.chance import (
    Drawn,
    Due,
    Network,
    Step,
    Strength,
    ThreePoint,
    Unknowns,
    carried,
    costs,
    kept,
    shares,
)

NEVER = Unknowns(
    strength=Strength(mean_pct=1000.0, spread_pct=0.0, gain_pct=1.0),
    inspector=ThreePoint(least=0, usual=0, most=0),
)
SEASONS = 10_000
ALWAYS = (True,) * 400


def waiting(p: float, **fields) -> Network:
    """One lift, planned for the first day, that waits for a workable day of probability p."""
    return Network(steps=(Step(planned=0, sky=0, **fields),), sites=(ALWAYS,), skies=((p,) * 400,))


# R. S. Russell and B. W. Taylor, Operations Management, 4th edition (2003), chapter on project management,
# solved problem on probabilistic time estimates, as printed at flylib.com/books/en/3.287.1.117/1: critical
# path 1 3 5 7; expected completion 24, variance 5 by its formula, probability of 28 or less 0.9633 by the
# normal table. That the page is of that book is from memory.
CRITICAL = ((5.0, 8.0, 17.0), (3.0, 5.0, 7.0), (4.0, 6.0, 8.0), (3.0, 4.0, 5.0))


def estimates() -> list[ThreePoint]:
    return [ThreePoint(least=a, usual=m, most=b) for a, m, b in CRITICAL]


def test_mean_and_variance_of_a_textbooks_critical_path():
    assert [each.mean for each in estimates()] == [9, 5, 6, 4]
    assert sum(each.mean for each in estimates()) == 24
    assert sum(each.variance for each in estimates()) == pytest.approx(5.0)


def test_seasons_of_a_textbooks_critical_path_end_as_it_says():
    """Drawn, not added up: mean, variance and the probability of 28, which the book has from the normal."""
    rng = np.random.default_rng(1)
    taken = [each.draw(rng, 200_000) for each in estimates()]
    steps = tuple(Step(planned=0, after=((n - 1, 0),) if n else ()) for n in range(4))
    over = carried(steps, lambda n, ready, _: ready + taken[n], 200_000)[-1]
    assert over.mean() == pytest.approx(24.0, abs=0.05)
    assert over.var() == pytest.approx(5.0, rel=0.02)
    assert (over <= 28).mean() == pytest.approx(0.9633, abs=0.015)


@pytest.mark.parametrize("p", [0.9, 0.5, 0.3])
def test_waiting_for_a_workable_day_is_geometric(p: float):
    """Trials to the first success: mean 1/p, P(wait <= k) = 1 - (1 - p)^k (any textbook of probability)."""
    days = Drawn(waiting(p), NEVER, 7, 0, SEASONS).days()[0] + 1
    assert days.mean() == pytest.approx(1 / p, abs=4 * np.sqrt((1 - p) / p**2 / SEASONS))
    for k in range(1, 8):
        closed = 1 - (1 - p) ** k
        found = shares(waiting(p), NEVER, [Due(steps=(0,), by=k - 1)], seed=7, count=SEASONS)[0]
        assert found == pytest.approx(closed, abs=4 * np.sqrt(0.25 / SEASONS))


def test_two_lifts_under_two_skies_keep_a_date_by_the_product():
    """Independent waits: P(both by k) is the product of the two; under one sky it is that of one."""
    p, k = 0.4, 2
    one = 1 - (1 - p) ** (k + 1)
    steps = (Step(planned=0, sky=0), Step(planned=0, sky=1))
    two = Network(steps=steps, sites=(ALWAYS,), skies=((p,) * 400, (p,) * 400))
    due = [Due(steps=(0, 1), by=k)]
    tight = 4 * np.sqrt(0.25 / SEASONS)
    assert shares(two, NEVER, due, seed=3, count=SEASONS)[0] == pytest.approx(one**2, abs=tight)
    same = replace(two, steps=(steps[0], replace(steps[1], sky=0)))
    assert shares(same, NEVER, due, seed=3, count=SEASONS)[0] == pytest.approx(one, abs=tight)


def test_two_lifts_one_after_the_other_are_negative_binomial():
    """Two successes within n trials: 1 - (1-p)^n - n p (1-p)^(n-1) (any textbook of probability)."""
    p, n = 0.5, 5
    steps = (Step(planned=0, sky=0), Step(planned=0, sky=0, after=((0, 1),)))
    two = Network(steps=steps, sites=(ALWAYS,), skies=((p,) * 400,))
    closed = 1 - (1 - p) ** n - n * p * (1 - p) ** (n - 1)
    found = shares(two, NEVER, [Due(steps=(1,), by=n - 1)], seed=5, count=SEASONS)[0]
    assert found == pytest.approx(closed, abs=4 * np.sqrt(0.25 / SEASONS))


def test_strength_that_lacks_waits_by_what_a_day_adds():
    """Normal: P(no wait) is the share at or above 100 percent, 84.13 % one deviation below the mean."""
    weak = replace(NEVER, strength=Strength(mean_pct=110.0, spread_pct=10.0, gain_pct=1.0))
    lift = Network(steps=(Step(planned=0, cured=(5,)),), sites=(ALWAYS,))
    dues = [Due(steps=(0,), by=5), Due(steps=(0,), by=15)]
    on_time, in_ten = shares(lift, weak, dues, seed=2, count=SEASONS)
    assert on_time == pytest.approx(0.8413, abs=0.015)
    assert in_ten == pytest.approx(0.9772, abs=0.008)


def test_a_cure_begins_with_its_pour_and_the_inspector_comes_on_working_days():
    """By hand: the inspector two working days late moves Friday's pour over a weekend to Tuesday."""
    week = tuple(n % 7 < 5 for n in range(400))  # day 0 is a Monday
    late = replace(NEVER, inspector=ThreePoint(least=2, usual=2, most=2))
    steps = (
        Step(planned=4, inspected=True),
        Step(planned=6, poured=0, cured=tuple(n + 28 for n in range(400))),
    )
    days = Drawn(Network(steps=steps, sites=(week,)), late, 1, 0, 3).days()
    assert days[0].tolist() == [8, 8, 8]  # Tuesday
    assert days[1].tolist() == [36, 36, 36]  # 28 days on, itself a Tuesday


def test_the_same_seed_gives_the_same_seasons_and_another_gives_others():
    due = [Due(steps=(0,), by=1)]
    again = [shares(waiting(0.37), NEVER, due, seed=s, count=4500)[0] for s in (1, 1, 2)]
    assert again[0] == again[1] != again[2]


def test_the_day_that_costs_most_is_the_one_that_others_wait_for():
    """By hand: the first of a chain of three that ends on its date costs it; one with slack costs nothing."""
    steps = (
        Step(planned=0),
        Step(planned=1, after=((0, 1),)),
        Step(planned=2, after=((1, 1),)),
        Step(planned=0),
    )
    chain = Network(steps=steps, sites=(ALWAYS,))
    dues = [Due(steps=(2,), by=2), Due(steps=(1,), by=1), Due(steps=(3,), by=5)]
    assert costs(chain, NEVER, dues, seed=1, count=50) == (2.0, 2.0, 1.0, 0.0)


def test_a_delay_is_worked_through_as_if_all_were_worked_anew():
    """Only what it touches is worked again; every day is that of a network planned a day later."""
    rng = np.random.default_rng(4)
    steps = tuple(
        Step(planned=int(n), after=tuple((int(b), 1) for b in set(rng.integers(0, n, 2))) if n else (), sky=0)
        for n in range(12)
    )
    network = Network(steps=steps, sites=(ALWAYS,), skies=((0.6,) * 400,))
    drawn = Drawn(network, NEVER, 9, 0, 500)
    base = drawn.days()
    for n in range(12):
        later = drawn.a_day_later(n, base)
        assert (later[n] > base[n]).all()
        for k in range(n + 1, 12):
            anew = drawn.work(k, _latest(steps[k], later), later)
            assert np.array_equal(later[k], anew)


def _latest(step: Step, days) -> np.ndarray:
    ready = np.full(500, step.planned)
    for before, lag in step.after:
        ready = np.maximum(ready, days[before] + lag)
    return ready


def test_what_cannot_be_is_said():
    with pytest.raises(InputError):
        ThreePoint(least=2, usual=1, most=3)
    with pytest.raises(InputError):
        ThreePoint(least=0, usual=float("nan"), most=3)
    with pytest.raises(InputError):
        Strength(mean_pct=110, spread_pct=10, gain_pct=0)
    with pytest.raises(InputError):
        Network(steps=(Step(planned=0, after=((0, 1),)),), sites=(ALWAYS,))
    with pytest.raises(InputError):
        waiting(1.2)
    assert kept([np.array([1, 3])], Due(steps=(0,), by=2)).tolist() == [True, False]
