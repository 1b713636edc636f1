"""Anchor bolts of a tower in its foundation, wind from every direction, by ACI 318-19 chapter 17.

Static strength only. Fatigue, and bolts that share one embedded plate, are outside the chapter: those checks
say so and never pass.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Rule, readable, worst_first
from sitecalc.formula import Formula
from sitecalc.foundation.anchor_asked import WAYS, Asked, Found
from sitecalc.foundation.anchor_case import AnchorageCase
from sitecalc.foundation.anchor_feet import feet_checks
from sitecalc.foundation.anchor_layout import wind_words
from sitecalc.foundation.anchor_loads import Blows, LegExtreme, blows, both_turns, extremes
from sitecalc.foundation.anchor_modes import Modes
from sitecalc.foundation.anchor_reinforcement import reinforcement_checks
from sitecalc.foundation.anchor_rules import (
    BLOWOUT,
    BREAKOUT_SHEAR,
    BREAKOUT_TENSION,
    CONCRETE,
    CONCRETE_KEYS,
    IN_PLACE_OF_BREAKOUT,
    INTERACTION,
    PRYOUT,
    STEEL,
    STEEL_SHEAR,
    concrete_not_checked,
    earthquake_checks,
    layout_checks,
    outside_chapter,
    scope_checks,
)
from sitecalc.foundation.loads import require_strength
from sitecalc.foundation.ring import Floats

SMALL, SUM = 0.2, 1.2  # 17.8
_SAME = 1e-9
# which loads a way of failing feels, as said where there are none
NOT_ASKED = {
    "tension": "No bolt is in uplift.",
    "shear": "No bolt is in shear.",
    BLOWOUT.key: "Edges are farther than hef / 2.5, or no bolt there is in uplift.",
}
SHEARS = frozenset(rule.key for rule in (STEEL_SHEAR, BREAKOUT_SHEAR, PRYOUT))
FEELS_TORSION = {rule.key: rule for rule in (STEEL_SHEAR, BREAKOUT_SHEAR, PRYOUT, INTERACTION)}
NO_TORSION = (
    "The torsion at the top of the pad is not given; 0 where the tower's maker says that there is none."
)

TENSION_USED = Formula("Nua / phi Nn", "tension", "Nua/phiNn", "", {"phiNn": "phi Nn"})
SHEAR_USED = Formula("Vua / phi Vn", "shear", "Vua/phiVn", "", {"phiVn": "phi Vn"})
BOTH = Formula("sum", "both together", "t + v", "", {"t": "tension", "v": "shear"})
PRYING = "Prying of the base plate is left to its maker: bolts carry their even share of the leg{times}."


@dataclass(frozen=True, kw_only=True)
class BoltExtreme:
    """The most a bolt carries over all winds, kip; coordinates from the tower's middle."""

    mark: str
    x_in: float
    y_in: float
    tension_kip: float
    compression_kip: float
    shear_kip: float


@dataclass(frozen=True)
class AnchorageResult:
    """``said`` are the words for the engineer that belong beside the checks."""

    checks: tuple[Check, ...]
    legs: tuple[LegExtreme, ...]
    bolts: tuple[BoltExtreme, ...]
    said: tuple[str, ...]


@dataclass(frozen=True)
class _Worst:
    """``row`` is the wind."""

    found: Found
    row: int


@dataclass(frozen=True)
class _Both:
    """Tension with shear of one leg."""

    tension: Found
    shear: Found
    row: int


def check_anchorage(case: AnchorageCase) -> AnchorageResult:
    """Every mode at its worst wind and combination, kip, worst first.

    phi Nn >= Nua and phi Vn >= Vua of steel, breakout, pullout, blowout and pryout, interaction at most 1.2,
    anchor reinforcement, spacing, edges and earthquake. Headed cast-in bolts; what is outside chapter 17 is
    not checked. ACI 318-19, chapter 17 (read in secondary copies). InputError for bad figures.
    """
    require_strength(case.loads)
    modes = Modes(case)
    blown = blows(case.layout, both_turns(case.loads))
    why = outside_chapter(case)
    asked = [a for a in modes.asked(blown) if not why or a.key not in CONCRETE_KEYS]
    checks = _strengths(case, blown, _worst(asked), why)
    checks += concrete_not_checked(why) if why else [_both(_interaction(asked, len(blown.loads)), blown)]
    checks += feet_checks(case, blown, modes.bodies)
    if not case.torsion_known:
        checks = [_without_torsion(check) for check in checks]
    checks += reinforcement_checks(case) + layout_checks(case, modes)
    checks += earthquake_checks(case, modes) + scope_checks(case)
    return AnchorageResult(
        checks=tuple(worst_first(checks)),
        legs=extremes(case.layout, case.loads),
        bolts=tuple(_carried(blown)),
        said=tuple(_said(case)),
    )


def _without_torsion(check: Check) -> Check:
    """Without the torsion the shear of a bolt is not known: it may fail already, and never passes."""
    rule = FEELS_TORSION.get(check.key)
    if rule is None or check.needs_answer:
        return check
    return rule.open(f"{check.note.removesuffix('.')}, without torsion. {NO_TORSION}")


def _carried(blown: Blows) -> Iterator[BoltExtreme]:
    """The most of each bolt."""
    tension, compression, shear = (
        np.maximum(force, 0.0).max(axis=0) for force in (blown.tension, -blown.tension, blown.shear)
    )
    for i, b in enumerate(blown.standing):
        yield BoltExtreme(
            mark=b.mark,
            x_in=b.x_in,
            y_in=b.y_in,
            tension_kip=float(tension[i]),
            compression_kip=float(compression[i]),
            shear_kip=float(shear[i]),
        )


def _worst(asked: list[Asked]) -> dict[str, _Worst]:
    """By key the highest ratio; of equal ones the first wind, then the first that is asked."""
    worst: dict[str, _Worst] = {}
    for key in dict.fromkeys(a.key for a in asked):
        alike = [a for a in asked if a.key == key]
        nearly = max(float(a.ratio.max()) for a in alike) * (1 - _SAME)
        firsts = [(int(rows.argmax()), a) for a in alike if (rows := (a.ratio >= nearly).any(axis=1)).any()]
        row, mode = min(firsts, key=lambda first: first[0])
        worst[key] = _Worst(mode.at(row, int((mode.ratio[row] >= nearly).argmax())), row)
    return worst


def _interaction(asked: list[Asked], winds: int) -> _Both | None:
    """The leg whose worst tension and worst shear under one wind add up to the most."""
    pairs = []
    for leg in sorted(frozenset[str]().union(*(held for a in asked for held in a.held))):
        of_leg = {way: _of_leg([a for a in asked if a.way == way], leg, winds) for way in WAYS}
        over = np.all([ratio > SMALL for ratio in of_leg.values()], axis=0)
        sums = np.where(over, np.sum(list(of_leg.values()), axis=0), 0.0)
        pairs.append((leg, sums))
    most = max((float(sums.max()) for _leg, sums in pairs), default=0.0)
    if most <= 0:
        return None
    row, leg = min(
        (int((s >= most * (1 - _SAME)).argmax()), leg) for leg, s in pairs if s.max() >= most * (1 - _SAME)
    )
    tension, shear = (_hardest([a for a in asked if a.way == way], leg, row) for way in WAYS)
    return _Both(tension, shear, row)


def _of_leg(asked: list[Asked], leg: str, winds: int) -> Floats:
    """Its highest ratio in each wind."""
    most = np.zeros(winds)
    for a in asked:
        columns = [i for i, held in enumerate(a.held) if leg in held]
        if columns:
            most = np.maximum(most, a.ratio[:, columns].max(axis=1))
    return most


def _hardest(asked: list[Asked], leg: str, row: int) -> Found:
    """What asks the most of that leg in that wind."""
    every = [(a.ratio[row, i], a, i) for a in asked for i, held in enumerate(a.held) if leg in held]
    _ratio, mode, column = max(every, key=lambda one: one[0])
    return mode.at(row, column)


def _strengths(case: AnchorageCase, blown: Blows, worst: dict[str, _Worst], why: str) -> list[Check]:
    asked = STEEL if why else (*STEEL, *CONCRETE)
    return [
        _check(case, blown, rule, worst[rule.key]) if rule.key in worst else _nothing(rule) for rule in asked
    ]


def _check(case: AnchorageCase, blown: Blows, rule: Rule, worst: _Worst) -> Check:
    f, load = worst.found, blown.loads[worst.row]
    calm = load.moment_kip_ft == 0 and load.shear_kip == 0
    wind = "no wind" if calm else wind_words(blown.from_deg[worst.row])
    by_bars = rule is BREAKOUT_TENSION and case.reinforcement is not None
    where = f"{f.where}, {wind}, {load.name}"
    return (IN_PLACE_OF_BREAKOUT if by_bars else rule).compare(
        demand=f.demand,
        capacity=f.strength,
        case=where,
        note=f"{readable(f.demand)} of {readable(f.strength)} kip, {where}",
        steps=f.steps(),
    )


def _nothing(rule: Rule) -> Check:
    """No bolt feels it: either none is pulled or pushed, or, for blowout, the edges are far."""
    way = "shear" if rule.key in SHEARS else "tension"
    return rule.not_asked(NOT_ASKED.get(rule.key, NOT_ASKED[way]))


def _both(both: _Both | None, blown: Blows) -> Check:
    if both is None:
        return INTERACTION.not_asked("Nowhere are both over a fifth of their strength.")
    t, v = both.tension, both.shear
    where = f"{t.where}, {wind_words(blown.from_deg[both.row])}, {blown.loads[both.row].name}"
    tension = TENSION_USED.step_of(
        f"tension, {t.key.removeprefix('anchor-')}", Nua=t.demand, phiNn=t.strength
    )
    shear = SHEAR_USED.step_of(f"shear, {v.key.removeprefix('anchor-')}", Vua=v.demand, phiVn=v.strength)
    added = BOTH.step(t=tension.value, v=shear.value)
    return INTERACTION.compare(
        demand=added.value,
        capacity=SUM,
        case=where,
        note=f"{readable(added.value)} of 1.2, {where}",
        steps=(tension, shear, added),
    )


def _said(case: AnchorageCase) -> Iterable[str]:
    times = f" times {case.prying:g}" if case.prying != 1 else ""
    yield PRYING.format(times=times)
    yield "Static strength only; what chapter 17 leaves out is for a licensed engineer."
    if not case.torsion_known:
        yield f"Shear of legs and bolts stands without torsion. {NO_TORSION}"
    if case.pedestal_round and case.pedestals != "none":
        yield "A round pedestal is taken as the octagon in it."
    if case.reinforcement is not None:
        yield "Anchor reinforcement replaces breakout in tension only; pullout and blowout stand."
    if case.seismic:
        yield "0.75 on concrete in tension (17.10.5.4) is taken on every combination, which is safe."
