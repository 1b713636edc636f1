"""What to order for a pad: concrete by the plant's step and by truck, digging, anchor bolts and plates."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import drawn_from, same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.outline import area_ft2, girth_ft
from sitecalc.foundation.tables import anchor_bolts
from sitecalc.foundation.words import BoltSize, Grade, Outline
from sitecalc.inputs import InputError, quantity, require_valid

CUBIC_FEET_PER_YARD = 27.0
STEP_YD3 = 0.5  # plants sell by the half or quarter yard: common practice, no source
STEEL_LB_IN3 = 0.2836
NUTS_PER_BOLT = 4  # leveling and top nut at the base plate, one above and one below the anchor plate
WASHERS_PER_BOLT = 2

ROOM = Rule("anchor depth", "Anchor bolts in the pad", "in", "bolts end above the lower mat", Known.PRACTICE)
NET = Formula("V", "net volume", "V_ft3/27", "yd3", {"V_ft3": "ft3"})
WITH_WASTE = Formula("Vw", "with allowance", "V*(1 + w/100)", "yd3")
# a millionth of a step: 35.0 computed as 35.0000000001 is 35
ORDER = Formula("o", "order, up to the plant's next step", "ceil(Vw/s - 0.000001)*s", "yd3")
NEEDED = Formula("l", "bolt in the concrete, with plate, nut and thread", "hef + t + d + 0.5", "in")
ABOVE_MAT = Formula("h", "concrete above the lower mat", "max(0, 12*H - c - 2*db)", "in")

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
    side_ft: float = same_as(FoundationFigures, "side_ft", required=True)
    thickness_ft: float = same_as(FoundationFigures, "thickness_ft", required=True)
    other_side_ft: float | None = same_as(FoundationFigures, "other_side_ft")
    top_above_grade_ft: float = same_as(FoundationFigures, "top_above_grade_ft")
    working_ft: float = quantity("ft", "room to work round the forms", low=0, high=10, default=2.0)
    outline: Outline = same_as(FoundationFigures, "outline")
    pedestals_ft3: float = quantity(
        "ft3",
        "concrete of pedestals above the pad",
        low=0,
        high=20_000,
        default=0.0,
        shown_at="pedestal_side_ft",
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
    legs: int = quantity("", "legs of the tower; 1 for a tube", low=1, high=4, shown_at="base")
    per_leg: int = same_as(FoundationFigures, "anchor_per_leg", required=True)
    size: BoltSize = same_as(FoundationFigures, "anchor_size")
    grade: Grade = same_as(FoundationFigures, "anchor_grade")
    embedment_in: float = same_as(FoundationFigures, "embedment_in")
    projection_in: float = same_as(FoundationFigures, "projection_in")
    plate_in: float = same_as(FoundationFigures, "anchor_plate_in")
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
    """A volume up to the next step that the plant sells, yd3: s ceil(V / s).

    Common practice, no source; a volume that is over a step by less than a millionth of it is not rounded up.
    """
    return ORDER.value(Vw=wanted_yd3, s=step_yd3)


def order_yd3(volume_ft3: float, waste_pct: float, step_yd3: float = STEP_YD3) -> float:
    """What to order in yd3 for a net volume in ft3, an allowance in % and the plant's step in yd3.

    V / 27 (1 + w / 100), up to the next step. Common practice, no source.
    """
    return up_to_step(WITH_WASTE.value(V=NET.value(V_ft3=volume_ft3), w=waste_pct), step_yd3)


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
    """What to order in yd3 and how it rides in trucks: V / 27 (1 + w), up to the plant's step.

    Allowances by kind of work as their sources say; trucks are common practice, no source. InputError for a
    step that no truck carries.
    """
    require_valid(case)
    rule = WASTE[case.waste]
    waste = rule.pct if case.waste_pct is None else case.waste_pct
    net = NET.step(V_ft3=case.volume_ft3)
    wanted = WITH_WASTE.step(V=net.value, w=waste)
    total = ORDER.step(Vw=wanted.value, s=case.step_yd3)
    loads = loads_yd3(total.value, case.truck_yd3, case.step_yd3, case.least_load_yd3)
    return Delivery(net_yd3=net.value, order_yd3=total.value, loads_yd3=loads, steps=(net, wanted, total))


def concrete(case: ConcreteCase) -> Concrete:
    """Concrete in ft3 and yd3, forms in ft2, digging in yd3 of a pad in ft.

    A t and 27 ft3 a yard; the hole with room to work, straight sides: common practice, no source. InputError
    where the whole pad is above grade.
    """
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


def volume_yd3(figures: FoundationFigures) -> float | None:
    """Concrete in place, pedestal and all, in yd3; None where the figures make no pad."""
    pedestal, side = 0.0, figures.pedestal_side_ft
    if figures.pedestal and side and figures.pedestal_height_ft:
        form: Outline = "circle" if figures.pedestal == "round" else "rectangle"
        pedestal = area_ft2(form, side, side) * figures.pedestal_height_ft
    case = drawn_from(ConcreteCase, figures, other_side_ft=figures.second_side_ft, pedestals_ft3=pedestal)
    try:
        return concrete(case).net_yd3
    except InputError:
        return None


def anchor_list(case: AnchorCase) -> AnchorList:
    """Bolts, nuts, washers and plates, weights in lb. Length: projection, embedment, plate, nut under it, in.

    ASTM F1554; nuts and washers a bolt are common practice, no source.
    """
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
    """The bolts with plate and nut must end above the lower mat, in.

    thickness_ft, cover_lower_in, bar_in
        depth H of the concrete, ft, cover c of the mat and thickness db of its bars, in.

    hef + t + d + 1/2 in <= 12 H - c - 2 db, with a nut as high as the bolt is thick. Common practice, no
    source.
    """
    bolt = anchor_bolts()[case.size]
    needed = NEEDED.step(hef=case.embedment_in, t=case.plate_thickness_in, d=bolt.diameter_in)
    room = ABOVE_MAT.step(H=thickness_ft, c=cover_lower_in, db=bar_in)
    return ROOM.compare(
        demand=needed.value,
        capacity=room.value,
        note=f"{needed.value:g} in with plate and nut, {room.value:.1f} in above the lower mat.",
        steps=(needed, room),
    )
