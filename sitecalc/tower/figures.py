"""The figures of the tower: sections, joints, base, and the reactions its maker or engineer states."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.inputs import quantity
from sitecalc.tower.bolt_tables import Condition, Edition, Grade, sizes
from sitecalc.tower.words import Exposure, FirstPass, Kind, ReactionKind, RiskCategory, Tightening

_SIZES = {size: size for size in sizes()}


@dataclass(frozen=True, kw_only=True)
class SectionRow:
    """One section of the tower."""

    length_ft: float = quantity("ft", "length of the section between joints", low=1, high=120, label="Length")
    bottom_in: float = quantity(
        "in",
        "leg spacing (lattice) or outside diameter (tube) at the bottom",
        low=3,
        high=360,
        label="Width at bottom",
    )
    top_in: float = quantity(
        "in", "leg spacing or outside diameter at the top", low=3, high=360, label="Width at top"
    )
    weight_lb: float | None = quantity(
        "lb",
        "weight with braces, flanges, ladder; for a tube, without it, from its steel",
        low=5,
        high=500_000,
        default=None,
        label="Weight",
    )
    leg_area_in2: float | None = quantity(
        "in2",
        "lattice: steel area of one leg",
        low=0.05,
        high=100,
        default=None,
        label="One leg's steel",
    )
    wall_in: float | None = quantity(
        "in", "tube: wall thickness", low=0.03, high=4, default=None, label="Tube wall"
    )


@dataclass(frozen=True, kw_only=True)
class JointRow:
    """The splice over a section."""

    bolts: float = quantity("", "Bolts a leg", low=1, high=60, whole=True)
    size: str = quantity("", "Size", choices=_SIZES)
    grade: Grade = quantity("", "Grade")
    carries: Literal["tension", "shear"] = quantity("", "Bolts carry")
    tightening: Tightening = quantity("", "Tightened by")
    torque_ft_lb: float | None = quantity(
        "ft-lb",
        "target torque of the tower's maker; without it from 75 % of proof load",
        low=1,
        high=20_000,
        default=None,
        label="Maker's torque",
    )
    grip_in: float | None = quantity(
        "in",
        "length of the bolt under its head",
        low=0.25,
        high=60,
        default=None,
        label="Bolt length",
    )
    circle_in: float | None = quantity("in", "Bolt circle, tube", low=3, high=360, default=None)


@dataclass(frozen=True, kw_only=True)
class TowerFigures:
    """A freestanding tower; ``sections`` and ``joints`` (splices between them) are rows, from the foot up."""

    kind: Kind = quantity("", "kind of tower", default="lattice, 4 legs", balloon=3)
    sections: tuple[SectionRow, ...] = quantity(
        "", "sections, from the foot up", default=(), label="Sections from the foot up", balloon=1
    )
    joints: tuple[JointRow, ...] = quantity(
        "", "joints, from the foot up", default=(), label="Joints between them, from the foot up", balloon=2
    )
    condition: Condition = quantity("", "threads when tightened", default="plain and dry", balloon=4)
    nut_factor: float | None = quantity(
        "",
        "nut factor K, if measured or stated",
        low=0.05,
        high=0.5,
        default=None,
        help="Say in the note where it was measured or who states it.",
        balloon=5,
    )
    first_pass: FirstPass = quantity(
        "", "first torque pass", default="snug", choices={"30 %": "30 % of the torque"}, balloon=6
    )
    edition: Edition = quantity(
        "",
        "pretension table",
        default="AISC 360-16",
        choices={"AISC 360-16": "AISC 360-16, RCSC 2014 and 2020"},
        balloon=7,
    )
    anchor_bolts: int = quantity(
        "", "anchor bolts per leg (tube: in all)", low=1, high=60, counted="bolts", default=4, balloon=8
    )
    anchor_pattern_in: float = quantity(
        "in",
        "anchor pattern, side of the square (tube: bolt circle)",
        low=3,
        high=240,
        default=10.0,
        balloon=9,
    )
    moment_kip_ft: float | None = quantity(
        "kip-ft",
        "base moment",
        low=1,
        high=100_000,
        default=None,
        help="At the foot, from the tower's maker or the engineer.",
        balloon=10,
    )
    shear_kip: float | None = quantity("kip", "base shear", low=0.05, high=2000, default=None, balloon=11)
    reactions: ReactionKind | Literal[""] = quantity(
        "",
        "what those reactions are",
        default="",
        choices={
            "IEC extreme gust": "IEC extreme gust, not factored",
            "maker's service": "maker's service load",
        },
        balloon=12,
    )
    reactions_source: str = quantity("", "who states them, document", default="", most=120, balloon=13)
    load_factor: float | None = quantity(
        "",
        "factor from them to strength level",
        low=0.5,
        high=5,
        default=None,
        help="1.0 for strength level; others as their maker states.",
        balloon=14,
    )
    wind_mph: float | None = quantity(
        "mph",
        "basic wind speed",
        low=50,
        high=250,
        default=None,
        help="With it the stated moment is held against a rough ASCE 7 estimate.",
        balloon=15,
        of_site=True,
    )
    risk_category: RiskCategory | Literal[""] = quantity(
        "",
        "risk category",
        default="",
        empty="not given",
        help="Of the structure, as the building official counts it; the basic wind speed is of its map.",
        balloon=15,
        of_site=True,
    )
    exposure: Exposure = quantity(
        "",
        "exposure",
        default="C",
        choices={"B": "B, wooded or built up", "C": "C, open country", "D": "D, along open water"},
        balloon=16,
        of_site=True,
    )
    solidity_percent: float = quantity(
        "%", "solid part of a face of the lattice", low=1, high=100, default=20.0, balloon=17
    )
    round_members: bool = quantity("", "lattice of round members", default=False, balloon=18)
    gust_factor: float | None = quantity(
        "",
        "gust factor G, where not 0.85",
        low=0.8,
        high=2.5,
        default=None,
        help="A tower slower than 1 Hz needs its own, from the engineer.",
        balloon=19,
    )
    spring_kip_ft_rad: float | None = quantity(
        "kip-ft/rad",
        "foundation's rotation spring",
        low=10,
        high=10_000_000_000.0,
        default=None,
        help="Without it the foot is held fixed, and the frequency is at its highest.",
        balloon=20,
        of_site=True,
    )
    skip_low_rpm: float | None = quantity(
        "rpm",
        "speeds the controller skips, from",
        low=0,
        high=2000,
        default=None,
        help="Only by the turbine maker's letter.",
        balloon=21,
    )
    skip_high_rpm: float | None = quantity("rpm", "to", low=0, high=2000, default=None, balloon=22)
    margin_percent: float = quantity(
        "%", "kept between tower and rotor", low=0, high=50, default=10.0, balloon=23
    )
    plumb_percent: float = quantity(
        "%", "lean allowed, of the height", low=0.01, high=2, default=0.25, balloon=24
    )

    @property
    def height_ft(self) -> float | None:
        """From the foot to the top flange; None while no section is given."""
        return sum(section.length_ft for section in self.sections) if self.sections else None
