"""A bolt under load: tension, shear and both against its design strength, tension against the clamp."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula
from sitecalc.inputs import quantity
from sitecalc.tower.bolt_tables import Strength, Threaded

AISC = "AISC 360-16 J3.6 and J3.7, Table J3.2"

BOLT_LOAD = Rule("bolt_load", "Bolt load", "kip", AISC, Known.SECONDARY)
TENSION = Rule("bolt_tension", "Bolt tension", "kip", AISC, Known.SECONDARY)
SHEAR = Rule("bolt_shear", "Bolt shear, threads in the plane", "kip", AISC, Known.SECONDARY)
GAPPING = Rule(
    "gapping",
    "Joint stays closed",
    "kip",
    "applied tension at most the clamp; prying not counted",
    Known.PRACTICE,
)
BOTH = Rule("bolt_both", "Tension with shear", "", "AISC 360-16 commentary J3.7, ellipse", Known.MEMORY)

AREA = Formula("Ab", "area of the bolt's shank", "pi*D**2/4", "in2")
TENSILE = Formula("phiRnt", "design strength of a bolt in tension", "0.75*0.75*Fu*Ab", "kip")
ONE_PLANE = Formula("phiRnv", "design strength of a bolt in shear", "0.75*0.45*Fu*Ab", "kip")
TWO_PLANES = Formula("phiRnv", "design strength of a bolt in shear, two planes", "0.75*0.45*Fu*Ab*2", "kip")
ELLIPSE = Formula("u", "both together", "sqrt((ft/Rt)**2+(fv/Rv)**2)", "", {"Rt": "phiRnt", "Rv": "phiRnv"})


@dataclass(frozen=True, kw_only=True)
class BoltLoad:
    """What one bolt carries, strength level (LRFD). None is not known."""

    tension_kip: float | None = quantity(
        "kip", "tension of a bolt, strength level", low=0, high=5_000, default=None
    )
    shear_kip: float | None = quantity(
        "kip", "shear of a bolt, strength level", low=0, high=5_000, default=None
    )
    shear_planes: int = quantity("", "shear planes of a bolt", low=1, high=2, default=1)


def load_checks(load: BoltLoad, bolt: Threaded, steel: Strength, clamp: float) -> list[Check]:
    """Applied load per bolt against the bolt's design strength, and tension against the clamp.

    load
        what one bolt carries, kip, strength level; a load that is not given leaves its check out, both
        leave "not checked".
    bolt, steel
        diameter in in, tensile strength in ksi.
    clamp
        tension of the tightened bolt, kip.

    phiRnt = 0.75 x 0.75 Fu Ab, phiRnv = 0.75 x 0.45 Fu Ab a plane (threads in the plane),
    (ft / phiRnt)^2 + (fv / phiRnv)^2 at most 1, ft at most the clamp. Bearing-type joints of bolts with the
    strengths of the grade table; no prying, no slip resistance. AISC 360-16 J3.6 and Table J3.2
    (read in secondary copies), J3.7 (from memory).
    """
    if load.tension_kip is None and load.shear_kip is None:
        return [BOLT_LOAD.open("The load of a bolt is not given.")]
    area = AREA.step(D=bolt.diameter_in)
    planes = TWO_PLANES if load.shear_planes == 2 else ONE_PLANE
    tensile = TENSILE.step(Fu=steel.tensile_ksi, Ab=area.value)
    shear = planes.step(Fu=steel.tensile_ksi, Ab=area.value)
    checks = []
    if load.tension_kip is not None:
        checks.append(_bolt(TENSION, load.tension_kip, area, tensile))
        checks.append(_gap(load.tension_kip, clamp))
    if load.shear_kip is not None:
        checks.append(_bolt(SHEAR, load.shear_kip, area, shear))
    if load.tension_kip and load.shear_kip:
        checks.append(_both(load.tension_kip, load.shear_kip, tensile.value, shear.value))
    return checks


def _bolt(rule: Rule, demand: float, area: Step, strength: Step) -> Check:
    return rule.compare(demand=demand, capacity=strength.value, case="strength level", steps=(area, strength))


def _gap(tension: float, clamp: float) -> Check:
    return GAPPING.compare(
        demand=tension,
        capacity=clamp,
        note=f"{readable(tension)} of {readable(clamp)} kip clamp in a bolt, prying not counted.",
    )


def _both(ft: float, fv: float, tensile: float, shear: float) -> Check:
    """Ellipse (ft / phiRnt)^2 + (fv / phiRnv)^2 <= 1, the root of which is the ratio."""
    ratio = ELLIPSE.step(ft=ft, Rt=tensile, fv=fv, Rv=shear)
    return BOTH.compare(
        demand=ratio.value,
        capacity=1.0,
        note=f"{readable(ratio.value)} of 1, ellipse of both.",
        steps=(ratio,),
    )
