"""What to order for a pad: concrete by the quarter yard, digging, anchor bolts with nuts and plates."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Known, compare
from sitecalc.foundation.tables import BoltSize, anchor_bolts
from sitecalc.inputs import InputError, quantity, require_valid

CUBIC_FEET_PER_YARD = 27.0
QUARTER_YD3 = 0.25
STEEL_LB_IN3 = 0.2836
NUTS_PER_BOLT = 4  # leveling and top nut at the base plate, one above and one below the anchor plate
WASHERS_PER_BOLT = 2
Grade = Literal["36", "55", "105"]


@dataclass(frozen=True)
class ConcreteCase:
    side_ft: float = quantity("ft", "side of the pad", low=4, high=80)
    thickness_ft: float = quantity("ft", "thickness of the pad", low=1, high=12)
    other_side_ft: float | None = quantity("ft", "other side, if not the same", low=4, high=80, default=None)
    waste_pct: float = quantity("%", "allowance for waste and uneven ground", low=0, high=25, default=5.0)
    truck_yd3: float = quantity("yd3", "a truck carries", low=1, high=12, default=9.5)
    top_above_grade_ft: float = quantity("ft", "top of pad above grade", low=-8, high=4, default=0.5)
    working_ft: float = quantity("ft", "room to work round the forms", low=0, high=10, default=2.0)


@dataclass(frozen=True)
class Concrete:
    """``excavation_yd3`` is in place, straight sides; sloped or benched sides (OSHA) come on top."""

    volume_ft3: float
    net_yd3: float
    order_yd3: float
    trucks: int
    form_ft2: float
    excavation_yd3: float


@dataclass(frozen=True)
class AnchorCase:
    legs: int = quantity("", "legs of the tower; 1 for a tube", low=1, high=4)
    per_leg: int = quantity("", "anchor bolts per leg", low=1, high=60)
    size: BoltSize = quantity("", "diameter in inches", default="1")
    grade: Grade = quantity("", "ASTM F1554 grade", default="55")
    embedment_in: float = quantity("in", "top of pad to top of anchor plate", low=6, high=120, default=30.0)
    projection_in: float = quantity("in", "above the top of pad", low=2, high=36, default=7.0)
    plate_in: float = quantity("in", "side of the square anchor plate", low=2, high=24, default=4.0)
    plate_thickness_in: float = quantity("in", "thickness of the anchor plate", low=0.25, high=4, default=0.5)


@dataclass(frozen=True)
class AnchorLine:
    item: str
    detail: str
    quantity: int
    weight_lb: float


@dataclass(frozen=True)
class AnchorList:
    bolts: int
    length_in: float
    lines: tuple[AnchorLine, ...]


def order_yd3(volume_ft3: float, waste_pct: float) -> float:
    """Net volume with its allowance, always up to the next quarter yard."""
    wanted = volume_ft3 / CUBIC_FEET_PER_YARD * (1 + waste_pct / 100)
    # 1e-6: 35.0 computed as 35.0000000001 is 35
    return math.ceil(wanted / QUARTER_YD3 - 1e-6) * QUARTER_YD3


def concrete(case: ConcreteCase) -> Concrete:
    require_valid(case)
    other = case.other_side_ft or case.side_ft
    depth = case.thickness_ft - case.top_above_grade_ft
    if depth <= 0:
        raise InputError("top_above_grade_ft", "puts the whole pad above grade.")
    volume = case.side_ft * other * case.thickness_ft
    ordered = order_yd3(volume, case.waste_pct)
    hole = (case.side_ft + 2 * case.working_ft) * (other + 2 * case.working_ft) * depth
    return Concrete(
        volume_ft3=volume,
        net_yd3=volume / CUBIC_FEET_PER_YARD,
        order_yd3=ordered,
        trucks=math.ceil(ordered / case.truck_yd3 - 1e-9),
        form_ft2=2 * (case.side_ft + other) * case.thickness_ft,
        excavation_yd3=hole / CUBIC_FEET_PER_YARD,
    )


def anchor_list(case: AnchorCase) -> AnchorList:
    """Bolts, nuts, washers and plates. Length: projection, embedment, plate, and a nut under it."""
    require_valid(case)
    bolt = anchor_bolts()[case.size]
    bolts = case.legs * case.per_leg
    # a heavy hex nut is as high as the bolt is thick; a half inch of thread shows below it
    below = case.plate_thickness_in + bolt.diameter_in + 0.5
    length = math.ceil(case.projection_in + case.embedment_in + below)
    rod_lb = math.pi / 4 * bolt.diameter_in**2 * length * STEEL_LB_IN3
    plate_lb = case.plate_in**2 * case.plate_thickness_in * STEEL_LB_IN3
    return AnchorList(
        bolts=bolts,
        length_in=float(length),
        lines=(
            AnchorLine(
                "Anchor bolt",
                f"{case.size} in dia. x {length} in, ASTM F1554 Gr {case.grade}",
                bolts,
                bolts * rod_lb,
            ),
            AnchorLine("Heavy hex nut", f"{case.size} in, {_nut(case.grade)}", NUTS_PER_BOLT * bolts, 0.0),
            AnchorLine("Hardened washer", f"{case.size} in, ASTM F436", WASHERS_PER_BOLT * bolts, 0.0),
            AnchorLine(
                "Anchor plate",
                f"{case.plate_in:g} x {case.plate_in:g} x {case.plate_thickness_in:g} in",
                bolts,
                bolts * plate_lb,
            ),
            AnchorLine("Setting template", "as the tower's maker draws it", case.legs, 0.0),
        ),
    )


def _nut(grade: Grade) -> str:
    return "ASTM A563 DH" if grade == "105" else "ASTM A563 A"


def anchor_room(case: AnchorCase, thickness_ft: float, cover_lower_in: float, bar_in: float) -> Check:
    """The bolts with plate and nut must end above the lower mat."""
    bolt = anchor_bolts()[case.size]
    needed = case.embedment_in + case.plate_thickness_in + bolt.diameter_in + 0.5
    room = thickness_ft * 12 - cover_lower_in - 2 * bar_in
    return compare(
        "anchor depth",
        "Anchor bolts in the pad",
        demand=needed,
        capacity=max(0.0, room),
        unit="in",
        source="bolts end above the lower mat",
        known=Known.PRACTICE,
        note=f"{needed:g} in with plate and nut, {max(0.0, room):.1f} in above the lower mat.",
    )
