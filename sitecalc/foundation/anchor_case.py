"""An anchorage as it is asked about: bolts, concrete, how they are seated and what is embedded with them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from typing import Literal

from sitecalc.cases import same_as
from sitecalc.checks import Step
from sitecalc.foundation.anchor_areas import Polygon, concrete_outline, edges
from sitecalc.foundation.anchor_layout import AnchorLayout, Bolt, bolts, legs
from sitecalc.foundation.anchor_strength import futa, nut_bearing, plate_bearing
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.loads import StrengthLoad
from sitecalc.foundation.tables import FOLDER, BoltValues, anchor_bolts
from sitecalc.foundation.words import BarSize, BoltSize, Foot, Grade, Outline, Seat, SeismicCategory
from sitecalc.inputs import InputError, quantity, require_valid

Pedestals = Literal["none", "one under each leg", "one under all"]
BarEnd = Literal["straight", "hooked"]


@dataclass(frozen=True, kw_only=True)
class AnchorReinforcement:
    """Bars that tie the breakout body of a leg's group (of a tube: of all bolts) to the concrete below."""

    size: BarSize = same_as(FoundationFigures, "anchor_bar_size", required=True)
    count: int = same_as(FoundationFigures, "anchor_bars", required=True)
    away_in: float = same_as(FoundationFigures, "anchor_bar_away_in", required=True)
    top_in: float = quantity("in", "upper end of the bars below the top of concrete", low=0.75, high=24)
    foot_in: float = same_as(FoundationFigures, "anchor_bar_foot_in", required=True)
    top_end: BarEnd = quantity("", "how the upper end ends", default="hooked")
    foot_end: BarEnd = quantity("", "how the lower end ends", default="straight")
    yield_ksi: float = quantity("ksi", "yield strength", low=40, high=100, default=60.0)


@dataclass(frozen=True, kw_only=True)
class AnchorageCase:
    """Loads are factored combinations at the top of the concrete; service loads are refused."""

    layout: AnchorLayout = quantity("", "where the bolts stand")
    loads: tuple[StrengthLoad, ...] = quantity(
        "", "factored combinations at the base", shown_at="moment_kip_ft"
    )
    torsion_known: bool = quantity(
        "",
        "whether the wind's torsion is known and stands in the loads",
        default=True,
        shown_at="torsion_kip_ft",
    )
    side_ft: float = same_as(FoundationFigures, "side_ft", required=True)
    thickness_ft: float = same_as(FoundationFigures, "thickness_ft", required=True)
    other_side_ft: float | None = same_as(FoundationFigures, "other_side_ft")
    outline: Outline = same_as(FoundationFigures, "outline")
    pedestals: Pedestals = quantity("", "pedestals over the pad", default="none", shown_at="pedestal")
    # one under each leg may be narrower than the one that carries the whole tower
    pedestal_side_ft: float | None = same_as(FoundationFigures, "pedestal_side_ft", low=0.5)
    pedestal_round: bool = quantity("", "pedestals are round", default=False, shown_at="pedestal")
    pedestal_height_ft: float | None = same_as(FoundationFigures, "pedestal_height_ft")
    size: BoltSize = same_as(FoundationFigures, "anchor_size")
    grade: Grade = same_as(FoundationFigures, "anchor_grade")
    # printed examples, by which the calculation is held, have shallower anchors than a tower's
    embedment_in: float = same_as(FoundationFigures, "embedment_in", low=4)
    # where nothing is said of a plate the nut alone bears, which is less
    foot: Foot = same_as(FoundationFigures, "anchor_foot", default="nut")
    plate_in: float = same_as(FoundationFigures, "anchor_plate_in")
    plate_thickness_in: float = quantity("in", "its thickness", low=0.25, high=4, default=0.5)
    seat: Seat = same_as(FoundationFigures, "anchor_seat")
    gap_in: float = same_as(FoundationFigures, "anchor_gap_in")
    torqued: bool = quantity("", "bolts are tightened beyond snug", default=True)
    prying: float = same_as(FoundationFigures, "prying")
    # 17.3.1 counts stronger concrete as 10,000 psi, so it may be given
    fc_psi: float = same_as(FoundationFigures, "fc_psi", high=15_000)
    light: float = quantity("", "lambda of the concrete, 1 normal weight", low=0.75, high=1, default=1.0)
    cracked: bool = quantity("", "concrete cracks under service loads", default=True)
    supplementary: bool = quantity(
        "", "supplementary reinforcement crosses the breakout bodies", default=False
    )
    edge_bars: Literal["none", "#4 or more", "#4 or more, stirrups 4 in apart"] = quantity(
        "", "bars along the edges", default="none"
    )
    reinforcement: AnchorReinforcement | None = quantity("", "anchor reinforcement in tension", default=None)
    seismic_category: SeismicCategory | None = same_as(FoundationFigures, "seismic_category")
    earthquake_in_loads: bool = quantity("", "the combinations hold the earthquake", default=False)
    overstrength: bool = quantity("", "the earthquake is taken with overstrength", default=False)
    stretch_in: float | None = quantity("in", "length of bolt free to stretch", low=0, high=120, default=None)

    @property
    def stump_in(self) -> tuple[float, float]:
        """Side or diameter of a pedestal and its height over the pad; nothing without one."""
        if self.pedestals == "none":
            return 0.0, 0.0
        return (self.pedestal_side_ft or 0.0) * 12, (self.pedestal_height_ft or 0.0) * 12

    @property
    def seismic(self) -> bool:
        return self.seismic_category is not None and self.seismic_category in "CDEF"

    @property
    def bolt(self) -> BoltValues:
        return anchor_bolts()[self.size]

    @property
    def bearing(self) -> Step:
        """Net bearing area of what is at the lower end, in2."""
        if self.foot == "plate under each":
            return plate_bearing(self.bolt.diameter_in, self.plate_in, self.plate_thickness_in)
        return nut_bearing(self.bolt.diameter_in)

    @property
    def bearing_in2(self) -> float:
        return self.bearing.value


@dataclass(frozen=True)
class Steel:
    yield_ksi: float
    tensile_ksi: float
    ductile: bool

    @property
    def futa(self) -> Step:
        """The strength that counts, 17.6.1.2, ksi."""
        return futa(self.yield_ksi, self.tensile_ksi)


@dataclass(frozen=True)
class Block:
    """One body of concrete, ``deep_in`` below its top, and the bolts in it."""

    polygon: Polygon
    deep_in: float
    bolts: tuple[Bolt, ...]


@cache
def steels() -> dict[str, Steel]:
    """Yield and tensile strength in ksi of the ASTM F1554 grades, and whether they are ductile."""
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
    if case.pedestals != "none":
        for name in ("pedestal_side_ft", "pedestal_height_ft"):
            if getattr(case, name) is None:
                raise InputError(name, "is not given.")
    standing = _standing(case.layout)
    if case.pedestals == "one under each leg":
        found = tuple(
            Block(
                _pedestal(case, (leg.x_in, leg.y_in)),
                case.stump_in[1],
                tuple(b for b in standing if b.leg == leg.name),
            )
            for leg in legs(case.layout)
        )
    elif case.pedestals == "one under all":
        found = (Block(_pedestal(case, (0.0, 0.0)), case.stump_in[1], standing),)
    else:
        across = case.other_side_ft or case.side_ft
        pad = concrete_outline(case.outline, case.side_ft * 12, across * 12)
        found = (Block(pad, case.thickness_ft * 12, standing),)
    _require_inside(case, found)
    return found


def _standing(layout: AnchorLayout) -> tuple[Bolt, ...]:
    try:
        return bolts(layout)
    except InputError as error:
        raise InputError(f"layout.{error.field}", error.message) from error


def _pedestal(case: AnchorageCase, middle: tuple[float, float]) -> Polygon:
    form: Outline = "circle" if case.pedestal_round else "rectangle"
    side, _height = case.stump_in
    return concrete_outline(form, side, side, middle)


def _require_inside(case: AnchorageCase, found: tuple[Block, ...]) -> None:
    field = "side_ft" if case.pedestals == "none" else "pedestal_side_ft"
    for block in found:
        for edge in edges(block.polygon):
            outside = next((b for b in block.bolts if edge.distance((b.x_in, b.y_in)) <= 0), None)
            if outside is not None:
                raise InputError(field, f"leaves bolt {outside.mark} outside the concrete.")
    depth = case.thickness_ft * 12 + case.stump_in[1]
    if case.embedment_in >= depth:
        raise InputError("embedment_in", f"goes through the {depth:g} in of concrete.")
