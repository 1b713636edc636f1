"""Figures of a lift that cannot be: a section lighter than its legs, square meters typed for square feet.

Each is a check beside those of the lift: what is typed wrong by its unit passes everything else.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from sitecalc.checks import Check, Known, Rule, readable
from sitecalc.formula import Formula
from sitecalc.foundation.tables import soils
from sitecalc.lift.hanging import Line
from sitecalc.tower.structure import STEEL_PCF

WEIGHT_OFF_PERCENT = 5.0
LEAST_SOLID = 0.05
LEAST_OF_DESIGN = 0.8
# without a class of soil no more than the least of the table's (24 CFR 3285.202 has the same default)
UNKNOWN_SOIL_PSF = 1500.0
SOIL = "IBC 2012 table 1806.2, as reprinted in a geotechnical handbook; 24 CFR 3285.202 without a class"

STEEL_WEIGHT = Rule(
    "weight-steel",
    "Section against its own steel",
    "lb",
    f"Steel of {STEEL_PCF:g} pcf, as ASTM A615 weighs its bars",
    Known.SECONDARY,
)
DESIGN_WEIGHT = Rule(
    "weight-design",
    "Weight against the design",
    "% off",
    f"A typed weight is within {WEIGHT_OFF_PERCENT:g} % of the design's",
    Known.PRACTICE,
)
SAIL_AREA = Rule(
    "sail-area",
    "Area the wind sees",
    "ft2",
    f"A lattice shows at least {100 * LEAST_SOLID:g} % of the area within its outline; a turbine at least "
    f"{100 * LEAST_OF_DESIGN:g} % of its design's",
    Known.PRACTICE,
)
SOIL_CLASS = Rule("soil-class", "Bearing for that soil", "psf", SOIL, Known.READ)

OFF = Formula("d", "off the design's", "100*abs(W-Wd)/Wd", "%")
SHOWN = Formula("A", "least area that a lattice shows", "least*inside", "ft2")

LEGS = {"lattice, 3 legs": 3, "lattice, 4 legs": 4}
OF_TABLE = {
    "clay or silt": "CL",
    "sand": "SP",
    "gravel": "GP",
    "sedimentary rock": "sedimentary or foliated rock",
    "crystalline rock": "crystalline bedrock",
    "fill": "fill or organic",
}


def section_steel_lb(kind: str, section: Any) -> float | None:
    """Steel of a section's legs, or of a tube's shell, alone, lb; None where its areas are not given.

    ``kind`` and ``section`` (length_ft, bottom_in, top_in, leg_area_in2, wall_in) as of the tower's design.
    Steel of 490 pcf, as the weights and diameters of ASTM A615 have it.
    """
    if kind in LEGS:
        area = None if section.leg_area_in2 is None else LEGS[kind] * section.leg_area_in2
    else:
        middle = (section.bottom_in + section.top_in) / 2
        wall = section.wall_in
        area = None if wall is None else math.pi * max(middle - wall, 0.0) * wall
    return None if area is None else area / 144 * section.length_ft * STEEL_PCF


def steel_checks(weights_lb: Sequence[float], steel_lb: Sequence[float | None]) -> list[Check]:
    """Each section against its own legs' or shell's steel, lb: the worst; none where no steel is known.

    Arithmetic: a section weighs no less than its legs alone.
    """
    pairs = [
        (steel / weight, number, steel, weight)
        for number, (weight, steel) in enumerate(zip(weights_lb, steel_lb, strict=False), start=1)
        if steel is not None and weight > 0
    ]
    if not pairs:
        return []
    _, number, steel, weight = max(pairs)
    lighter = " Kilograms typed as pounds?" if steel > weight else ""
    return [
        STEEL_WEIGHT.compare(
            demand=steel,
            capacity=weight,
            note=f"Section {number} from the foot weighs {weight:,.0f} lb, its own steel without braces and "
            f"flanges {steel:,.0f} lb.{lighter}",
            case=f"section {number}",
        )
    ]


def weight_check(typed_lb: float | None, design_lb: float | None) -> list[Check]:
    """A typed weight in lb against the design's; none where either is not given.

    The 5 % between them are common practice, no source.
    """
    if typed_lb is None or not design_lb:
        return []
    off = OFF.step(W=typed_lb, Wd=design_lb)
    return [
        DESIGN_WEIGHT.compare(
            demand=off.value,
            capacity=WEIGHT_OFF_PERCENT,
            note=f"{typed_lb:,.0f} lb typed, {design_lb:,.0f} lb by the design: {readable(off.value)} % off, "
            f"at most {WEIGHT_OFF_PERCENT:g} %.",
            steps=(off,),
        )
    ]


def area_inside_ft2(line: Line) -> float:
    """Area in ft2 within an outline of (up, out) in ft, both sides of its axis."""
    return math.fsum((u2 - u1) * (o1 + o2) for (u1, o1), (u2, o2) in pairwise(line))


def tower_sail_check(sail_ft2: float | None, line: Line) -> list[Check]:
    """The area in ft2 that the wind sees of a lattice, against the least that its outline can show.

    The least share of the outline is common practice, no source.
    """
    inside = area_inside_ft2(line)
    if sail_ft2 is None or inside <= 0:
        return []
    least = SHOWN.step(least=LEAST_SOLID, inside=inside)
    small = " Square meters typed as square feet?" if sail_ft2 < least.value else ""
    return [
        SAIL_AREA.compare(
            demand=least.value,
            capacity=sail_ft2,
            note=f"{readable(sail_ft2)} ft2 of {readable(inside)} ft2 within the tower's outline.{small}",
            steps=(least,),
        )
    ]


def head_sail_check(typed_ft2: float | None, design_ft2: float | None) -> list[Check]:
    """A typed area in ft2 against the turbine design's; none where either is not given.

    How far they may differ is common practice, no source.
    """
    if typed_ft2 is None or not design_ft2:
        return []
    least = SHOWN.step_of("least against the design's", "", least=LEAST_OF_DESIGN, inside=design_ft2)
    return [
        SAIL_AREA.compare(
            demand=least.value,
            capacity=typed_ft2,
            note=f"{readable(typed_ft2)} ft2 typed, {readable(design_ft2)} ft2 by the turbine's design.",
            steps=(least,),
        )
    ]


def soil_check(soil_psf: float | None, soil_class: str | None) -> list[Check]:
    """Bearing in psf that is counted on, against the table's for that soil; without a class 1,500 psf.

    IBC table 1806.2; unprepared fill bears nothing there. A soil report stands for itself.
    """
    if soil_psf is None:
        return []
    if not soil_class:
        if soil_psf <= UNKNOWN_SOIL_PSF:
            return []
        most = f"{UNKNOWN_SOIL_PSF:,.0f} psf"
        return [
            SOIL_CLASS.open(f"{soil_psf:,.0f} psf, and nobody said which soil. Without that at most {most}.")
        ]
    if soil_class == "soil report":
        return [SOIL_CLASS.not_asked(f"{soil_psf:,.0f} psf by a soil report of this place.")]
    listed = soils()[OF_TABLE[soil_class]].bearing_psf
    if listed is None:
        return [SOIL_CLASS.open("Unprepared fill has no bearing value: an engineer says what it bears.")]
    return [
        SOIL_CLASS.compare(
            demand=soil_psf,
            capacity=listed,
            note=f"{soil_psf:,.0f} psf counted on, {listed:,.0f} psf listed for {soil_class}.",
        )
    ]
