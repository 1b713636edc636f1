"""Anchor bolts of a tower in its foundation, wind from every direction, by ACI 318-19 chapter 17.

Static strength only. Fatigue, and bolts that share one embedded plate, are outside the chapter: those checks
say so and never pass.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, readable, worst_first
from sitecalc.foundation.anchor_case import AnchorageCase
from sitecalc.foundation.anchor_layout import bolts, wind_words
from sitecalc.foundation.anchor_loads import Blow, LegExtreme, blows, both_turns, extremes
from sitecalc.foundation.anchor_modes import Found, Modes
from sitecalc.foundation.anchor_reinforcement import reinforcement_checks
from sitecalc.foundation.anchor_rules import (
    CONCRETE_KEYS,
    concrete_not_checked,
    earthquake_checks,
    layout_checks,
    outside_chapter,
    scope_checks,
)
from sitecalc.foundation.loads import require_strength

SMALL, SUM = 0.2, 1.2  # 17.8
TITLES = {
    "anchor-steel-tension": ("Anchor bolt steel in tension", "17.6.1"),
    "anchor-steel-shear": ("Anchor bolt steel in shear", "17.7.1"),
    **CONCRETE_KEYS,
}
PRYING = "Prying of the base plate is left to its maker: bolts carry their even share of the leg{times}."


@dataclass(frozen=True)
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
    found: Found
    blow: Blow


@dataclass(frozen=True)
class _Both:
    """Tension with shear of one leg."""

    tension: Found
    shear: Found
    blow: Blow

    @property
    def sum(self) -> float:
        return self.tension.ratio + self.shear.ratio


def check_anchorage(case: AnchorageCase) -> AnchorageResult:
    """Every mode at its worst wind and combination, worst first. InputError for bad figures."""
    require_strength(case.loads)
    modes = Modes(case)
    loads = both_turns(case.loads)
    why = outside_chapter(case)
    worst: dict[str, _Worst] = {}
    both: _Both | None = None
    carried: dict[str, list[float]] = {b.mark: [0.0, 0.0, 0.0] for b in bolts(case.layout)}
    for blow in blows(case.layout, loads):
        for force in blow.forces:
            most = carried[force.bolt.mark]
            most[:] = max(most[0], force.tension), max(most[1], -force.tension), max(most[2], force.shear)
        found = [f for f in modes.under(blow) if not why or f.key not in CONCRETE_KEYS]
        for f in found:
            if f.key not in worst or f.ratio > worst[f.key].found.ratio * (1 + 1e-9):
                worst[f.key] = _Worst(f, blow)
        both = max((b for b in (both, _interaction(found, blow)) if b), key=lambda b: b.sum, default=None)
    checks = [*_strengths(case, modes, worst, why), *(concrete_not_checked(why) if why else [_both(both)])]
    checks += reinforcement_checks(case) + layout_checks(case, modes)
    checks += earthquake_checks(case, modes) + scope_checks(case)
    return AnchorageResult(
        checks=tuple(worst_first(checks)),
        legs=extremes(case.layout, case.loads),
        bolts=tuple(BoltExtreme(b.mark, b.x_in, b.y_in, *carried[b.mark]) for b in bolts(case.layout)),
        said=tuple(_said(case, modes)),
    )


def _interaction(found: Iterable[Found], blow: Blow) -> _Both | None:
    """The leg whose worst tension and worst shear under this wind add up to the most."""
    tension: dict[str, Found] = {}
    shear: dict[str, Found] = {}
    for f in found:
        most = tension if f.way == "tension" else shear
        for leg in f.legs:
            if leg not in most or f.ratio > most[leg].ratio:
                most[leg] = f
    pairs = [_Both(tension[leg], shear[leg], blow) for leg in sorted(tension) if leg in shear]
    over = [p for p in pairs if p.tension.ratio > SMALL and p.shear.ratio > SMALL]
    return max(over, key=lambda p: p.sum, default=None)


def _strengths(case: AnchorageCase, modes: Modes, worst: dict[str, _Worst], why: str) -> list[Check]:
    checks = []
    for key, (title, clause) in TITLES.items():
        if key == "anchor-interaction" or (why and key in CONCRETE_KEYS):
            continue
        if key in worst:
            checks.append(_check(case, modes, key, title, clause, worst[key]))
        else:
            checks.append(_nothing(key, title, clause))
    return checks


def _check(case: AnchorageCase, modes: Modes, key: str, title: str, clause: str, worst: _Worst) -> Check:
    f, blow = worst.found, worst.blow
    calm = blow.load.moment_kip_ft == 0 and blow.load.shear_kip == 0
    wind = "no wind" if calm else wind_words(blow.from_deg)
    if key == "anchor-breakout-tension" and case.reinforcement is not None:
        title, clause = "Anchor reinforcement in place of breakout in tension", "17.5.2.1"
    where = f"{f.where}, {wind}, {blow.load.name}"
    return compare(
        key,
        title,
        demand=f.demand,
        capacity=f.strength,
        unit="kip",
        source=f"ACI 318-19, {clause}",
        known=Known.MEMORY,
        case=where,
        note=f"{readable(f.demand)} of {readable(f.strength)} kip, {where}",
        steps=f.steps(),
    )


def _nothing(key: str, title: str, clause: str) -> Check:
    """No bolt feels it: either none is pulled or pushed, or, for blowout, the edges are far."""
    words = "edges farther than hef / 2.5, or no bolt there is pulled" if key == "anchor-blowout" else (
        "no bolt is pulled" if key != "anchor-steel-shear" and "shear" not in key else "no bolt is pushed"
    )  # fmt: skip
    return compare(
        key,
        title,
        demand=0.0,
        capacity=1.0,
        unit="",
        source=f"ACI 318-19, {clause}",
        known=Known.MEMORY,
        note=f"Does not apply: {words}.",
    )


def _both(both: _Both | None) -> Check:
    title, source = "Tension with shear", "ACI 318-19, 17.8"
    if both is None:
        return compare(
            "anchor-interaction",
            title,
            demand=0.0,
            capacity=SUM,
            unit="",
            source=source,
            known=Known.MEMORY,
            note="Does not apply: nowhere are both over a fifth of their strength.",
        )
    t, v = both.tension, both.shear
    where = f"{t.where}, {wind_words(both.blow.from_deg)}, {both.blow.load.name}"
    return compare(
        "anchor-interaction",
        title,
        demand=both.sum,
        capacity=SUM,
        unit="",
        source=source,
        known=Known.MEMORY,
        case=where,
        note=f"{readable(both.sum)} of 1.2, {where}",
        steps=(
            Step("Nua / phi Nn", f"tension, {t.key.removeprefix('anchor-')}", "",
                 f"{t.demand:.2f} / {t.strength:.2f}", t.ratio, ""),
            Step("Vua / phi Vn", f"shear, {v.key.removeprefix('anchor-')}", "",
                 f"{v.demand:.2f} / {v.strength:.2f}", v.ratio, ""),
        ),
    )  # fmt: skip


def _said(case: AnchorageCase, modes: Modes) -> Iterable[str]:
    times = f" times {case.prying:g}" if case.prying != 1 else ""
    yield PRYING.format(times=times)
    yield "Static strength only; what chapter 17 leaves out is for a licensed engineer."
    if case.pedestal_round and case.pedestals != "none":
        yield "A round pedestal is taken as the octagon in it."
    if case.reinforcement is not None:
        yield "Anchor reinforcement replaces breakout in tension only; pullout and blowout stand."
    if case.seismic:
        yield "0.75 on concrete in tension (17.10.5.4) is taken on every combination, which is safe."
