"""The figures of the foundation: the pad, its mats and anchor bolts, its ground, and the loads on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.foundation.words import (
    BarSize,
    BoltSize,
    Compass,
    ConcreteCode,
    Ends,
    Foot,
    Grade,
    LoadKind,
    Outline,
    PedestalForm,
    Seat,
    SeismicCategory,
    Soil,
    TieSize,
)
from sitecalc.inputs import quantity


@dataclass(frozen=True, kw_only=True)
class FoundationFigures:
    """A pad with two mats and, if wanted, a pedestal. Empty legs and loads are taken from the tower's design.

    The upper mat is like the lower one where its own bars are left empty. The defaults are a starting layout:
    15 ft square, 4 ft deep (common practice, no source), the mats at their least cover; the checks decide.
    """

    outline: Outline = quantity(
        "",
        "pad from above",
        default="rectangle",
        choices={"rectangle": "square or rectangle", "circle": "round"},
        group="Pad",
    )
    side_ft: float = quantity(
        "ft",
        "pad side, east to west",
        low=4,
        high=80,
        default=15.0,
        help="Of an octagon across flats, of a round pad the diameter.",
        balloon=1,
    )
    other_side_ft: float | None = quantity(
        "ft",
        "side, north to south",
        low=4,
        high=80,
        default=None,
        help="Empty: the pad is square.",
        group="Pad",
    )
    thickness_ft: float = quantity("ft", "thickness", low=1, high=12, default=4.0, balloon=2)
    top_above_grade_ft: float = quantity(
        "ft", "top of pad above grade", low=-8, high=4, default=0.5, help="Negative: below grade.", balloon=3
    )
    frost_ft: float | None = quantity(
        "ft",
        "frost depth",
        low=0,
        high=12,
        default=None,
        help="Ask the building official.",
        balloon=4,
        of_site=True,
    )
    pedestal: PedestalForm | Literal[""] = quantity(
        "", "pedestal", default="", empty="none", group="Pedestal"
    )
    pedestal_side_ft: float | None = quantity(
        "ft",
        "pedestal, side or diameter",
        low=1,
        high=20,
        default=None,
        help="One pedestal in the middle carries the whole tower.",
        group="Pedestal",
    )
    pedestal_height_ft: float | None = quantity(
        "ft", "pedestal, above the pad", low=0.25, high=12, default=None, group="Pedestal"
    )
    pedestal_bars: int = quantity(
        "", "pedestal, verticals", low=4, high=60, default=12, counted="bars", group="Pedestal"
    )
    pedestal_bar_size: BarSize = quantity("", "pedestal, size of verticals", default="#6", group="Pedestal")
    tie_size: TieSize = quantity("", "ties, size", default="#4", group="Pedestal")
    tie_spacing_in: float = quantity(
        "in", "ties, center to center", low=2, high=18, default=12.0, group="Pedestal"
    )
    cover_lower_in: float = quantity(
        "in",
        "clear cover, lower mat",
        low=1,
        high=72,
        default=3.0,
        help="Least 3 in, cast against earth.",
        balloon=5,
    )
    cover_upper_in: float = quantity(
        "in",
        "clear cover, upper mat",
        low=1,
        high=72,
        default=2.0,
        help="Least 2 in, 1.5 in up to #5.",
        balloon=6,
    )
    cover_side_in: float = quantity("in", "clear cover, sides", low=1, high=12, default=3.0, group="Bars")
    bars: int = quantity("", "bars each way", low=2, high=200, default=18, counted="bars", balloon=7)
    bar_size: BarSize = quantity("", "bar size, Grade 60", default="#6", balloon=7)
    bars_other: int | None = quantity(
        "",
        "bars north to south",
        low=2,
        high=200,
        default=None,
        counted="bars",
        help="Empty: the same number. Only of a rectangle.",
        group="Bars",
    )
    upper_bar_size: BarSize | Literal[""] = quantity(
        "",
        "upper mat, bar size",
        default="",
        help="Empty: as the lower mat.",
        empty="as lower mat",
        group="Bars",
    )
    upper_bars: int | None = quantity(
        "",
        "upper mat, bars each way",
        low=2,
        high=200,
        default=None,
        counted="bars",
        help="Empty: as the lower mat.",
        group="Bars",
    )
    upper_bars_other: int | None = quantity(
        "",
        "upper mat, bars north to south",
        low=2,
        high=200,
        default=None,
        counted="bars",
        help="Empty: the same number. Only of a rectangle.",
        group="Bars",
    )
    bar_ends: Ends = quantity(
        "",
        "bar ends",
        default="straight",
        choices={"90 degree": "90 degree hooks", "180 degree": "180 degree hooks"},
        help="Hooks where a straight bar does not develop.",
        group="Bars",
    )
    laps_staggered: bool = quantity("", "laps of neighbors staggered", default=False, group="Bars")
    edge_bar_size: BarSize | Literal[""] = quantity(
        "", "U-bars round the edge, size", default="", help="Empty: none.", empty="none", group="Bars"
    )
    edge_bar_spacing_in: float = quantity(
        "in", "U-bars, center to center", low=3, high=36, default=12.0, group="Bars"
    )
    stock_ft: float = quantity(
        "ft", "longest bar from the supplier", low=10, high=60, default=40.0, group="Bars"
    )
    anchor_per_leg: int | None = quantity(
        "", "anchor bolts per leg", low=1, high=60, default=None, counted="bolts", balloon=8
    )
    anchor_pattern_in: float | None = quantity(
        "in", "anchor pattern, side", low=3, high=240, default=None, group="Anchor bolts"
    )
    anchor_size: BoltSize = quantity("", "anchor bolt diameter, inches", default="1", balloon=8)
    anchor_grade: Grade = quantity("", "anchor bolts, F1554 grade", default="55", group="Anchor bolts")
    embedment_in: float = quantity("in", "anchor bolts, embedded", low=6, high=120, default=30.0, balloon=8)
    projection_in: float = quantity(
        "in", "anchor bolts, above the pad", low=2, high=36, default=7.0, group="Anchor bolts"
    )
    anchor_plate_in: float = quantity(
        "in", "anchor plate, side", low=2, high=24, default=4.0, group="Anchor bolts"
    )
    anchor_foot: Foot = quantity(
        "",
        "anchor bolts, lower end",
        default="plate under each",
        choices={
            "nut": "heavy nut",
            "plate under each": "a plate under each",
            "one plate or ring": "one plate or ring for all",
        },
        help="Hooks, and one ring for all bolts, are outside ACI 318 chapter 17.",
        group="Anchor bolts",
    )
    anchor_seat: Seat = quantity(
        "",
        "base plates stand",
        default="on leveling nuts",
        choices={"on concrete": "on the concrete"},
        group="Anchor bolts",
    )
    anchor_gap_in: float = quantity(
        "in", "concrete to leveling nut", low=0, high=12, default=1.0, group="Anchor bolts"
    )
    base_plate_side_in: float | None = quantity(
        "in",
        "base plate, side (tube: outside diameter)",
        low=2,
        high=480,
        default=None,
        help="As the tower's drawing says; no bearing is judged without it.",
        group="Anchor bolts",
    )
    base_plate_in: float | None = quantity(
        "in", "base plate, thickness", low=0.25, high=6, default=None, group="Anchor bolts"
    )
    prying: float = quantity(
        "",
        "bolt tension over even share, maker's",
        low=1,
        high=3,
        default=1.0,
        help="1 = bolts share evenly; use the plate maker's figure if higher.",
        group="Anchor bolts",
    )
    anchor_bar_size: BarSize | Literal[""] = quantity(
        "",
        "bars that carry breakout, size",
        default="",
        help="Empty: concrete alone carries it.",
        empty="none",
        group="Anchor bolts",
    )
    anchor_bars: int | None = quantity(
        "",
        "bars that carry breakout, per leg",
        low=2,
        high=60,
        default=None,
        counted="bars",
        group="Anchor bolts",
    )
    anchor_bar_away_in: float | None = quantity(
        "in", "those bars, farthest from their bolt", low=0.5, high=36, default=None, group="Anchor bolts"
    )
    anchor_bar_foot_in: float | None = quantity(
        "in",
        "those bars, lower end below the top",
        low=6,
        high=200,
        default=None,
        help="Empty: down to the lower mat.",
        group="Anchor bolts",
    )
    template_tolerance_in: float = quantity(
        "in",
        "template tolerance, tower's drawing",
        low=0.01,
        high=0.5,
        default=0.0625,
        help="Tower base plates have tight holes; the tower's drawing says it.",
        group="Anchor bolts",
    )
    base: Literal["3 legs", "4 legs", "tube", ""] = quantity(
        "",
        "base of the tower",
        default="",
        choices={"tube": "tube on a bolt circle"},
        empty="not given",
        balloon=9,
    )
    leg_spacing_ft: float | None = quantity(
        "ft", "leg spacing (tube: bolt circle)", low=0.25, high=60, default=None, balloon=9
    )
    water_ft: float | None = quantity(
        "ft",
        "highest water below grade",
        low=0,
        high=200,
        default=None,
        help="Highest in any season; not known is not checked.",
        balloon=10,
        of_site=True,
    )
    soil: Soil | Literal[""] = quantity("", "soil", default="", empty="not given", balloon=11, of_site=True)
    report_bearing_psf: float | None = quantity(
        "psf",
        "allowable bearing, soil report",
        low=200,
        high=40_000,
        default=None,
        help="Goes before the presumptive value.",
        group="Ground",
        of_site=True,
    )
    report_friction: float | None = quantity(
        "", "friction factor, soil report", low=0.05, high=1, default=None, group="Ground", of_site=True
    )
    report_cohesion_psf: float | None = quantity(
        "psf", "adhesion, soil report", low=10, high=5000, default=None, group="Ground", of_site=True
    )
    fc_psi: float = quantity(
        "psi", "concrete, specified strength", low=2500, high=10_000, default=4500.0, balloon=12
    )
    dead_kip: float | None = quantity(
        "kip", "dead load, tower and turbine", low=0, high=2000, default=None, balloon=13
    )
    moment_kip_ft: float | None = quantity(
        "kip-ft", "wind moment at top of pad", low=0, high=100_000, default=None, balloon=14
    )
    shear_kip: float | None = quantity("kip", "wind shear", low=0, high=2000, default=None, balloon=14)
    torsion_kip_ft: float | None = quantity(
        "kip-ft",
        "wind torsion at top of pad",
        low=0,
        high=20_000,
        default=None,
        help="0 where the tower's maker says there is none; empty is not checked.",
        group="Loads",
    )
    load_kind: LoadKind | Literal[""] = quantity(
        "",
        "what those loads are",
        default="",
        choices={
            "IEC extreme gust": "IEC extreme gust, not factored",
            "maker's service": "maker's service load",
            "maker's strength level": "maker's load, strength level",
        },
        empty="not given",
        balloon=14,
    )
    wind_strength_factor: float | None = quantity(
        "",
        "strength wind over service wind",
        low=1,
        high=3,
        default=None,
        help="Empty: 1.35 of an IEC gust, 1.6 of a maker's service load.",
        group="Loads",
    )
    seismic_category: SeismicCategory | Literal[""] = quantity(
        "",
        "seismic design category",
        default="",
        help="The building official or the soil report says it.",
        empty="not given",
        group="Code",
        of_site=True,
    )
    concrete_code: ConcreteCode = quantity("", "concrete code", default="ACI 318-19", group="Code")
    reactions_above_ft: float = quantity(
        "ft", "loads stated above top of pad", low=0, high=10, default=0.0, group="Loads"
    )
    backfill_placed: bool = quantity(
        "",
        "backfill on the pad is placed and compacted",
        default=False,
        help="It holds the pad down only then.",
        group="Pad",
        of_site=True,
    )
    backfill_pcf: float = quantity("pcf", "weight of backfill", low=70, high=150, default=100.0, group="Pad")
    contact_required_pct: float = quantity(
        "%",
        "least share of the pad that bears",
        low=0,
        high=100,
        default=50.0,
        help="The engineer's rule for this job.",
        group="Pad",
        of_site=True,
    )
    prevailing: Compass = quantity("", "prevailing wind, from", default="NW", group="Loads")

    @property
    def second_side_ft(self) -> float | None:
        """North to south where it is not the same; only a rectangle has one."""
        return self.other_side_ft if self.outline == "rectangle" else None
