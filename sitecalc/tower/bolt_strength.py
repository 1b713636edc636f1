"""A bolt under load: tension, shear and both against its design strength, tension against the clamp."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked, readable
from sitecalc.inputs import quantity
from sitecalc.tower.bolt_tables import Strength, Threaded

AISC = "AISC 360-16 J3.6 and J3.7, Table J3.2"


@dataclass(frozen=True)
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
    """Applied load per bolt against the bolt's design strength, and tension against the clamp."""
    area = math.pi / 4 * bolt.diameter_in**2
    tensile, shear = (
        0.75 * 0.75 * steel.tensile_ksi * area,
        0.75 * 0.45 * steel.tensile_ksi * area * load.shear_planes,
    )
    if load.tension_kip is None and load.shear_kip is None:
        return [
            not_checked(
                "bolt_load", "Bolt load", "The load of a bolt is not given.", source=AISC, known=Known.MEMORY
            )
        ]
    found = []
    if load.tension_kip is not None:
        found.append(
            _bolt("bolt_tension", "Bolt tension", load.tension_kip, tensile, "0.75 x 0.75 Fu Ab", steel, area)
        )
        found.append(_gap(load.tension_kip, clamp))
    if load.shear_kip is not None:
        words = "0.75 x 0.45 Fu Ab" + (" x 2 planes" if load.shear_planes == 2 else "")
        found.append(
            _bolt("bolt_shear", "Bolt shear, threads in the plane", load.shear_kip, shear, words, steel, area)
        )
    if load.tension_kip and load.shear_kip:
        found.append(_both(load.tension_kip, load.shear_kip, tensile, shear))
    return found


def _bolt(
    key: str, title: str, demand: float, capacity: float, formula: str, steel: Strength, area: float
) -> Check:
    numbers = f"Fu {steel.tensile_ksi:.4g} ksi, Ab {area:.4g} in2"
    return compare(
        key,
        title,
        demand=demand,
        capacity=capacity,
        unit="kip",
        source=AISC,
        known=Known.MEMORY,
        case="strength level",
        steps=(Step("phi Rn", "design strength of a bolt", formula, numbers, capacity, "kip"),),
    )


def _gap(tension: float, clamp: float) -> Check:
    return compare(
        "gapping",
        "Joint stays closed",
        demand=tension,
        capacity=clamp,
        unit="kip",
        source="applied tension at most the clamp; prying not counted",
        known=Known.PRACTICE,
        note=f"{readable(tension)} of {readable(clamp)} kip clamp in a bolt, prying not counted.",
    )


def _both(ft: float, fv: float, tensile: float, shear: float) -> Check:
    """Ellipse (ft / phi Fnt)^2 + (fv / phi Fnv)^2 <= 1, the root of which is the ratio."""
    ratio = math.hypot(ft / tensile, fv / shear)
    return compare(
        "bolt_both",
        "Tension with shear",
        demand=ratio,
        capacity=1.0,
        unit="",
        source="AISC 360-16 commentary J3.7, ellipse",
        known=Known.MEMORY,
        note=f"{readable(ratio)} of 1, ellipse of both.",
    )
