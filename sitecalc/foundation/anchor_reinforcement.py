"""Anchor reinforcement in tension, ACI 318-19, 17.5.2.1: bars take over from breakout, from nothing else.

17.5.2.1 and its phi were read in public clause-by-clause notes on ACI 318M-19, half of hef (R17.5.2.1) in a
public engineer's notes on anchors by ACI 318-19.
"""

from __future__ import annotations

from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.foundation.anchor_case import AnchorageCase, AnchorReinforcement
from sitecalc.foundation.development import BarInConcrete, development_steps
from sitecalc.foundation.tables import bars

RULE = "ACI 318-19, 17.5.2.1"
PHI = 0.75

DEVELOPED = f"{RULE}; 25.4.2.3 and 25.4.3.1"
ABOVE = Rule(
    "anchor-reinforcement-above",
    "Anchor reinforcement developed above the breakout surface",
    "in",
    DEVELOPED,
    Known.SECONDARY,
)
BELOW = Rule(
    "anchor-reinforcement-below",
    "Anchor reinforcement developed below the breakout surface",
    "in",
    DEVELOPED,
    Known.SECONDARY,
)
NEAR = Rule(
    "anchor-reinforcement-near",
    "Anchor reinforcement near its bolts",
    "in",
    "ACI 318-19, R17.5.2.1",
    Known.SECONDARY,
)

STEEL = Formula("As", "bars of the group", "g*n*Ab", "in2", {"g": "legs"})
DESIGN = Formula("phi Nn", "design strength", "0.75*As*fy", "kip")
# the breakout body spreads 1.5 in for every inch up
SURFACE = Formula("z", "breakout surface at the bar, below the top", "hef - x/1.5", "in")
ROOM_ABOVE = Formula("l", "bar above the surface", "max(0, z - top)", "in")
ROOM_BELOW = Formula("l", "bar below the surface", "max(0, foot - z)", "in")


def reinforcement_kip(tied: AnchorReinforcement) -> float:
    """phi As fy of one leg's bars, kip; phi 0.75. ACI 318-19, 17.5.2.1."""
    return reinforcement_steps(tied, 1)[-1].value


def reinforcement_steps(tied: AnchorReinforcement, groups: int) -> tuple[Step, ...]:
    """As and phi As fy in kip of so many legs' bars together; phi 0.75. ACI 318-19, 17.5.2.1."""
    steel = STEEL.step(g=groups, n=tied.count, Ab=bars()[tied.size].area_in2)
    return steel, DESIGN.step(As=steel.value, fy=tied.yield_ksi)


def reinforcement_checks(case: AnchorageCase) -> list[Check]:
    """Developed on both sides of the breakout surface, and near enough to the bolts."""
    tied = case.reinforcement
    if tied is None:
        return []
    surface = SURFACE.step(hef=case.embedment_in, x=tied.away_in)
    above = ROOM_ABOVE.step(z=surface.value, top=tied.top_in)
    below = ROOM_BELOW.step(foot=tied.foot_in, z=surface.value)
    return [
        _developed(ABOVE, case, tied, (surface, above), tied.top_end),
        _developed(BELOW, case, tied, (surface, below), tied.foot_end),
        NEAR.compare(
            demand=tied.away_in,
            capacity=0.5 * case.embedment_in,
            note=f"{tied.away_in:g} in from the bolt, at most half of hef, {0.5 * case.embedment_in:g} in.",
        ),
    ]


def _developed(
    rule: Rule, case: AnchorageCase, tied: AnchorReinforcement, there: tuple[Step, Step], end: str
) -> Check:
    """The bar must reach yield between its end and the breakout surface."""
    bar = BarInConcrete(size=tied.size, fc_psi=case.fc_psi, yield_ksi=tied.yield_ksi, light=case.light)
    straight, hooked = development_steps(bar)
    needed, room = hooked if end == "hooked" else straight, there[-1]
    return rule.compare(
        demand=needed.value,
        capacity=room.value,
        note=f"{tied.size} {end}: {needed.value:.1f} in needed, {room.value:.1f} in there.",
        steps=(*there, needed),
    )
