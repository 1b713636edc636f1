"""An anchorage as it is asked about: bolts, concrete, how they are seated and what is embedded with them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from typing import Literal

from sitecalc.foundation.anchor_areas import Polygon, concrete_outline, edges
from sitecalc.foundation.anchor_layout import AnchorLayout, Bolt, bolts, legs
from sitecalc.foundation.anchor_strength import nut_bearing_in2, plate_bearing_in2
from sitecalc.foundation.loads import StrengthLoad
from sitecalc.foundation.tables import FOLDER, BoltValues, anchor_bolts
from sitecalc.foundation.words import BarSize, BoltSize, Foot, Grade, Outline, Seat, SeismicCategory
from sitecalc.inputs import InputError, quantity, require_valid

Pedestals = Literal["none", "one under each leg", "one under all"]
BarEnd = Literal["straight", "hooked"]


@dataclass(frozen=True, kw_only=True)
class AnchorReinforcement:
    """Bars that tie the breakout body of a leg's group (of a tube: of all bolts) to the concrete below."""

    size: BarSize = quantity("", "bar size")
    count: int = quantity("", "bars beside the bolts of one leg", low=2, high=60)
    away_in: float = quantity("in", "farthest bar from its bolt, center to center", low=0.5, high=36)
    top_in: float = quantity("in", "upper end of the bars below the top of concrete", low=0.75, high=24)
    foot_in: float = quantity("in", "lower end of the bars below the top of concrete", low=6, high=200)
    top_end: BarEnd = quantity("", "how the upper end ends", default="hooked")
    foot_end: BarEnd = quantity("", "how the lower end ends", default="straight")
    yield_ksi: float = quantity("ksi", "yield strength", low=40, high=100, default=60.0)


@dataclass(frozen=True, kw_only=True)
class AnchorageCase:
    """Loads are factored combinations at the top of the concrete; service loads are refused."""

    layout: AnchorLayout = quantity("", "where the bolts stand")
    loads: tuple[StrengthLoad, ...] = quantity("", "factored combinations at the base")
    side_ft: float = quantity("ft", "side of the pad, east to west; diameter; across flats", low=2, high=80)
    thickness_ft: float = quantity("ft", "thickness of the pad", low=0.5, high=12)
    other_side_ft: float | None = quantity(
        "ft", "side north to south, if not the same", low=2, high=80, default=None
    )
    outline: Outline = quantity("", "pad from above", default="rectangle")
    pedestals: Pedestals = quantity("", "pedestals over the pad", default="none")
    pedestal_in: float = quantity("in", "side or diameter of a pedestal", low=8, high=480, default=24.0)
    pedestal_round: bool = quantity("", "pedestals are round", default=False)
    pedestal_height_in: float = quantity("in", "pedestal over the pad", low=0, high=240, default=0.0)
    size: BoltSize = quantity("", "bolt diameter in inches", default="1")
    grade: Grade = quantity("", "ASTM F1554 grade", default="55")
    embedment_in: float = quantity(
        "in", "hef, top of concrete to the bearing face of nut or plate", low=4, high=120, default=30.0
    )
    foot: Foot = quantity("", "what bears at the lower end", default="nut")
    plate_in: float = quantity("in", "side of the plate under each", low=1, high=24, default=4.0)
    plate_thickness_in: float = quantity("in", "its thickness", low=0.25, high=4, default=0.5)
    seat: Seat = quantity("", "what the base plate stands on", default="on leveling nuts")
    gap_in: float = quantity(
        "in", "concrete to the underside of the leveling nut", low=0, high=12, default=1.0
    )
    torqued: bool = quantity("", "bolts are tightened beyond snug", default=True)
    prying: float = quantity(
        "", "bolt tension over its share of the leg's, by the plate's maker", low=1, high=3, default=1.0
    )
    fc_psi: float = quantity("psi", "specified strength", low=2_500, high=15_000, default=4_500.0)
    light: float = quantity("", "lambda of the concrete, 1 normal weight", low=0.75, high=1, default=1.0)
    cracked: bool = quantity("", "concrete cracks under service loads", default=True)
    supplementary: bool = quantity(
        "", "supplementary reinforcement crosses the breakout bodies", default=False
    )
    edge_bars: Literal["none", "#4 or more", "#4 or more, stirrups 4 in apart"] = quantity(
        "", "bars along the edges", default="none"
    )
    reinforcement: AnchorReinforcement | None = quantity("", "anchor reinforcement in tension", default=None)
    seismic_category: SeismicCategory | None = quantity("", "seismic design category", default=None)
    earthquake_in_loads: bool = quantity("", "the combinations hold the earthquake", default=False)
    overstrength: bool = quantity("", "the earthquake is taken with overstrength", default=False)
    stretch_in: float | None = quantity("in", "length of bolt free to stretch", low=0, high=120, default=None)

    @property
    def seismic(self) -> bool:
        return self.seismic_category is not None and self.seismic_category in "CDEF"

    @property
    def bolt(self) -> BoltValues:
        return anchor_bolts()[self.size]

    @property
    def bearing_in2(self) -> float:
        if self.foot == "plate under each":
            return plate_bearing_in2(self.bolt.diameter_in, self.plate_in, self.plate_thickness_in)
        return nut_bearing_in2(self.bolt.diameter_in)


@dataclass(frozen=True)
class Steel:
    yield_ksi: float
    tensile_ksi: float
    ductile: bool


@dataclass(frozen=True)
class Block:
    """One body of concrete, ``deep_in`` below its top, and the bolts in it."""

    polygon: Polygon
    deep_in: float
    bolts: tuple[Bolt, ...]


@cache
def steels() -> dict[str, Steel]:
    with (FOLDER / "anchor_grades.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["grade"]: Steel(float(row["yield_ksi"]), float(row["tensile_ksi"]), row["ductile"] == "yes")
            for row in csv.DictReader(line for line in file if not line.startswith("#"))
        }


def blocks(case: AnchorageCase) -> tuple[Block, ...]:
    """The pad, or each pedestal with its own bolts. InputError where a bolt stands outside its concrete."""
    require_valid(case)
    if not case.loads:
        raise InputError("loads", "are not given.")
    standing = bolts(case.layout)
    if case.pedestals == "one under each leg":
        found = tuple(
            Block(
                _pedestal(case, (leg.x_in, leg.y_in)),
                case.pedestal_height_in,
                tuple(b for b in standing if b.leg == leg.name),
            )
            for leg in legs(case.layout)
        )
    elif case.pedestals == "one under all":
        found = (Block(_pedestal(case, (0.0, 0.0)), case.pedestal_height_in, standing),)
    else:
        across = case.other_side_ft or case.side_ft
        pad = concrete_outline(case.outline, case.side_ft * 12, across * 12)
        found = (Block(pad, case.thickness_ft * 12, standing),)
    _require_inside(case, found)
    return found


def _pedestal(case: AnchorageCase, middle: tuple[float, float]) -> Polygon:
    form: Outline = "circle" if case.pedestal_round else "rectangle"
    return concrete_outline(form, case.pedestal_in, case.pedestal_in, middle)


def _require_inside(case: AnchorageCase, found: tuple[Block, ...]) -> None:
    field = "side_ft" if case.pedestals == "none" else "pedestal_in"
    if case.pedestals != "none" and case.pedestal_height_in <= 0:
        raise InputError("pedestal_height_in", "is not given.")
    for block in found:
        for edge in edges(block.polygon):
            outside = next((b for b in block.bolts if edge.distance((b.x_in, b.y_in)) <= 0), None)
            if outside is not None:
                raise InputError(field, f"leaves bolt {outside.mark} outside the concrete.")
    depth = case.thickness_ft * 12 + (case.pedestal_height_in if case.pedestals != "none" else 0.0)
    if case.embedment_in >= depth:
        raise InputError("embedment_in", f"goes through the {depth:g} in of concrete.")
