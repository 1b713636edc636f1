"""Anchor reinforcement in tension, ACI 318-19, 17.5.2.1: bars take over from breakout, from nothing else."""

from __future__ import annotations

from sitecalc.checks import Check, Known, Step, compare
from sitecalc.foundation.anchor_case import AnchorageCase, AnchorReinforcement
from sitecalc.foundation.development import BarInConcrete, development
from sitecalc.foundation.tables import bars

RULE = "ACI 318-19, 17.5.2.1"
PHI = 0.75
SLOPE = 1.5  # the breakout body spreads 1.5 in for every inch up


def reinforcement_kip(bars_: AnchorReinforcement) -> float:
    """phi As fy of one leg's bars."""
    return PHI * bars_.count * bars()[bars_.size].area_in2 * bars_.yield_ksi


def reinforcement_steps(tied: AnchorReinforcement, groups: int) -> tuple[Step, ...]:
    area = bars()[tied.size].area_in2
    return (
        Step("As", "bars of the group", "n Ab", f"{groups} x {tied.count} x {area:g}",
             groups * tied.count * area, "in2"),
        Step("phi Nn", "design strength", "phi As fy", f"{PHI} x fy {tied.yield_ksi:g} ksi",
             groups * reinforcement_kip(tied), "kip"),
    )  # fmt: skip


def reinforcement_checks(case: AnchorageCase) -> list[Check]:
    """Developed on both sides of the breakout surface, and near enough to the bolts."""
    tied = case.reinforcement
    if tied is None:
        return []
    surface = case.embedment_in - tied.away_in / SLOPE
    above, below = surface - tied.top_in, tied.foot_in - surface
    return [
        _developed(case, tied, "above", above, tied.top_end),
        _developed(case, tied, "below", below, tied.foot_end),
        compare(
            "anchor-reinforcement-near",
            "Anchor reinforcement near its bolts",
            demand=tied.away_in,
            capacity=0.5 * case.embedment_in,
            unit="in",
            source="ACI 318-19, R17.5.2.1",
            known=Known.MEMORY,
            note=f"{tied.away_in:g} in from the bolt, at most half of hef, {0.5 * case.embedment_in:g} in.",
        ),
    ]


def _developed(case: AnchorageCase, tied: AnchorReinforcement, side: str, room: float, end: str) -> Check:
    """The bar must reach yield between its end and the breakout surface, hef - x/1.5 down."""
    found = development(
        BarInConcrete(size=tied.size, fc_psi=case.fc_psi, yield_ksi=tied.yield_ksi, light=case.light)
    )
    needed = found.hooked_in if end == "hooked" else found.straight_in
    return compare(
        f"anchor-reinforcement-{side}",
        f"Anchor reinforcement developed {side} the breakout surface",
        demand=needed,
        capacity=max(0.0, room),
        unit="in",
        source=f"{RULE}; 25.4.2.3 and 25.4.3.1",
        known=Known.MEMORY,
        note=f"{tied.size} {end}: {needed:.1f} in needed, {max(0.0, room):.1f} in there.",
        steps=(
            Step("room", f"{side} the surface", "surface at hef - x / 1.5",
                 f"hef {case.embedment_in:g}, x {tied.away_in:g}", max(0.0, room), "in"),
        ),
    )  # fmt: skip
