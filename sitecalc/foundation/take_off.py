"""What to order for a pad: concrete by the plant's step and by truck, digging, anchor bolts and plates."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Known, Step, compare
from sitecalc.foundation.outline import area_ft2, girth_ft
from sitecalc.foundation.tables import anchor_bolts
from sitecalc.foundation.words import BoltSize, Grade, Outline
from sitecalc.inputs import InputError, quantity, require_valid

CUBIC_FEET_PER_YARD = 27.0
STEP_YD3 = 0.5  # plants sell by the half or quarter yard: common practice, no source
STEEL_LB_IN3 = 0.2836
NUTS_PER_BOLT = 4  # leveling and top nut at the base plate, one above and one below the anchor plate
WASHERS_PER_BOLT = 2
Waste = Literal["slab on ground", "formed foundation", "small or uneven"]


@dataclass(frozen=True)
class WasteRule:
    pct: float
    source: str


WASTE: dict[Waste, WasteRule] = {
    "slab on ground": WasteRule(3.0, "Concrete Construction, yield problems and waste allowance"),
    "formed foundation": WasteRule(5.0, "Concrete Construction, yield problems and waste allowance"),
    "small or uneven": WasteRule(10.0, "US Navy Engineering Aid Basic, NAVEDTRA 14070, estimating (P-405)"),
}


@dataclass(frozen=True, kw_only=True)
class DeliveryCase:
    """A volume as the plant sells and hauls it."""

    volume_ft3: float = quantity("ft3", "net volume", low=1, high=60_000)
    waste: Waste = quantity("", "kind of work the allowance is for", default="formed foundation")
    waste_pct: float | None = quantity(
        "%", "allowance for waste, if not the usual one", low=0, high=25, default=None
    )
    step_yd3: float = quantity("yd3", "orders are taken in steps of", low=0.25, high=1, default=STEP_YD3)
    truck_yd3: float = quantity("yd3", "a truck carries", low=1, high=12, default=9.5)
    least_load_yd3: float = quantity("yd3", "least load worth a truck", low=0, high=12, default=4.0)


@dataclass(frozen=True, kw_only=True)
class Delivery:
    net_yd3: float
    order_yd3: float
    loads_yd3: tuple[float, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True, kw_only=True)
class ConcreteCase:
    side_ft: float = quantity("ft", "side of the pad", low=4, high=80)
    thickness_ft: float = quantity("ft", "thickness of the pad", low=1, high=12)
    other_side_ft: float | None = quantity("ft", "other side, if not the same", low=4, high=80, default=None)
    top_above_grade_ft: float = quantity("ft", "top of pad above grade", low=-8, high=4, default=0.5)
    working_ft: float = quantity("ft", "room to work round the forms", low=0, high=10, default=2.0)
    outline: Outline = quantity(
        "", "pad from above; the side is across flats or the diameter", default="rectangle"
    )
    pedestals_ft3: float = quantity(
        "ft3", "concrete of pedestals above the pad", low=0, high=20_000, default=0.0
    )


@dataclass(frozen=True, kw_only=True)
class Concrete:
    """What the pad takes; ``delivery`` says what to order for it.

    ``excavation_yd3`` is in place, straight sides; sloped or benched sides (OSHA) come on top.
    ``form_ft2`` is round the pad; forms of pedestals come on top.
    """

    volume_ft3: float
    net_yd3: float
    form_ft2: float
    excavation_yd3: float


@dataclass(frozen=True, kw_only=True)
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


def up_to_step(wanted_yd3: float, step_yd3: float) -> float:
    """Always up to the next step the plant sells."""
    # 1e-6 of a step: 35.0 computed as 35.0000000001 is 35
    return math.ceil(wanted_yd3 / step_yd3 - 1e-6) * step_yd3


def order_yd3(volume_ft3: float, waste_pct: float, step_yd3: float = STEP_YD3) -> float:
    """Net volume with its allowance, up to the next step of the plant."""
    return up_to_step(volume_ft3 / CUBIC_FEET_PER_YARD * (1 + waste_pct / 100), step_yd3)


def loads_yd3(
    order: float, truck_yd3: float, step_yd3: float = STEP_YD3, least_load_yd3: float = 4.0
) -> tuple[float, ...]:
    """The order by trucks, in steps: full ones, and the last two alike where the last would be a sliver.

    Plants charge for a load below about four yards, and so little sits too long in a drum: common practice,
    no source.
    """
    steps = round(order / step_yd3)
    full = math.floor(truck_yd3 / step_yd3 + 1e-9)
    if full < 1:
        raise InputError("step_yd3", f"is more than the {truck_yd3:g} yd3 a truck carries.")
    trucks = [full] * (steps // full)
    rest = steps - full * len(trucks)
    if rest and trucks and rest * step_yd3 < least_load_yd3:
        both = trucks.pop() + rest
        trucks += [both - both // 2, both // 2]
    elif rest:
        trucks.append(rest)
    return tuple(load * step_yd3 for load in trucks)


def delivery(case: DeliveryCase) -> Delivery:
    """What to order and how it rides in trucks."""
    require_valid(case)
    rule = WASTE[case.waste]
    waste = rule.pct if case.waste_pct is None else case.waste_pct
    net = case.volume_ft3 / CUBIC_FEET_PER_YARD
    wanted = net * (1 + waste / 100)
    total = order_yd3(case.volume_ft3, waste, case.step_yd3)
    steps = (
        Step("V", "net volume", "ft3 / 27", f"{case.volume_ft3:,.1f} / 27", net, "yd3"),
        Step("Vw", "with allowance", "V (1 + w)", f"{net:.2f} x {1 + waste / 100:.2f}", wanted, "yd3"),
        Step("o", "order", "up to the next step", f"{wanted:.2f} up to {case.step_yd3:g}", total, "yd3"),
    )
    loads = loads_yd3(total, case.truck_yd3, case.step_yd3, case.least_load_yd3)
    return Delivery(net_yd3=net, order_yd3=total, loads_yd3=loads, steps=steps)


def concrete(case: ConcreteCase) -> Concrete:
    require_valid(case)
    other = case.other_side_ft or case.side_ft
    depth = case.thickness_ft - case.top_above_grade_ft
    if depth <= 0:
        raise InputError("top_above_grade_ft", "puts the whole pad above grade.")
    volume = area_ft2(case.outline, case.side_ft, other) * case.thickness_ft + case.pedestals_ft3
    room = 2 * case.working_ft
    hole = area_ft2(case.outline, case.side_ft + room, other + room) * depth
    return Concrete(
        volume_ft3=volume,
        net_yd3=volume / CUBIC_FEET_PER_YARD,
        form_ft2=girth_ft(case.outline, case.side_ft, other) * case.thickness_ft,
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
