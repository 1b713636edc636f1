"""Factored forces in a pad: soil pressure, weights and legs, and what they do across each cut.

Statics of the part beyond a cut: the soil and any water push up, the weight of pad and backfill and the legs
on that part press down, a leg's shear has the pad's thickness as its arm. Everything is exact, over the
contact polygon of each wind and combination, all of them at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sitecalc.formula import Formula
from sitecalc.foundation.loads import StrengthLoad, require_strength, strength
from sitecalc.foundation.pad import PadCase, any_way, arm_ft, base_loads, from_the, leeward, weights, winds
from sitecalc.foundation.ring import COARSE, Floats, cut, cuts, positive_part, pressed_parts, ring
from sitecalc.foundation.strength_case import Stand, StrengthCase, layer_depth_in

Use = Literal["moment", "shear", "hanging"]
MOMENT_AT_CUT = Formula(
    "Mu", "moment at the cut; below 0 it pulls the upper mat", "Q*xq - W*xw - Mf", "kip-ft"
)
SHEAR_AT_CUT = Formula("Vu", "shear at the cut", "abs(Q - W - F)", "kip")
BETWEEN = 5  # cuts tried between two lines of legs
_BESIDE = 1e-6  # ft; just this side and just that side of a leg


@dataclass(frozen=True, kw_only=True)
class Factored:
    """One row (m) for each wind and combination. kip, ft; forces of what stands on the pad (m, legs).

    ``net`` is what acts evenly on the whole pad: the push of the water less the weight of pad and backfill.
    """

    corners: Floats
    names: tuple[str, ...]
    balanced: NDArray[np.bool_]
    planes: Floats
    net: Floats
    down: Floats
    turning: Floats


@dataclass(frozen=True)
class Station:
    """A cut through the whole pad square to x (axis 0) or y (1), and what is looked at there."""

    axis: int
    off_ft: float
    use: tuple[Use, ...]


@dataclass(frozen=True)
class CutForces:
    """(m, stations). A moment above 0 pulls the lower face."""

    moment_kip_ft: Floats
    shear_kip: Floats


def factored(case: StrengthCase, stand: Stand) -> Factored | None:
    """None while loads or their kind are not known."""
    pad = case.pad
    stated = base_loads(pad)
    if stated is None:
        return None
    still, *blown = strength(stated)
    require_strength((still, *blown))
    corners = ring(pad.outline, pad.side_ft, pad.across_ft, COARSE)
    places = np.array(stand.places)
    toward_legs = np.concatenate((places, -places))
    toward_corners = (
        np.concatenate((corners, corners[:, ::-1])) if pad.outline == "rectangle" else corners[:0]
    )
    ways = winds(pad, np.concatenate((toward_legs, toward_corners)))
    toward = np.array([leeward(way) for way in ways])
    loads = (*blown, still)
    vertical, moment = (
        np.array(values) for values in zip(*(_at_underside(pad, w) for w in loads), strict=True)
    )
    off = np.where(vertical > 0, moment / np.where(vertical > 0, vertical, 1.0), 0.0)
    pressed = any_way(pad.outline, corners, vertical, off, toward)
    names = [f"wind from {from_the(way)}, {load.name}" for load in blown for way in ways]
    rows = len(names) + 1  # without wind every way is the same
    ones = np.ones(len(toward))
    net = np.concatenate([_even(pad, load) * ones for load in loads])
    held = [_handed_down(pad, stand, places, load, toward, m) for load, m in zip(loads, moment, strict=True)]
    down, turning = (np.concatenate(part) for part in zip(*held, strict=True))
    return Factored(
        corners=corners,
        names=(*names, still.name),
        balanced=pressed.balanced[:rows],
        planes=pressed.planes[:rows] / 1000,
        net=net[:rows],
        down=down[:rows],
        turning=turning[:rows],
    )


def _backfilled(pad: PadCase, load: StrengthLoad) -> bool:
    """Backfill always presses; it holds nothing down before it is placed."""
    return pad.backfill_placed or load.dead_factor >= 1


def _at_underside(pad: PadCase, load: StrengthLoad) -> tuple[float, float]:
    """(vertical kip, moment kip-ft); the whole push of the highest water goes with the least dead load."""
    found = weights(pad)
    uplift = found.uplift if load.dead_factor < 1 else 0.0
    weight = load.dead_factor * (found.dead(backfilled=_backfilled(pad, load)) - found.tower)
    return load.vertical_kip + weight - uplift, load.moment_kip_ft + load.shear_kip * arm_ft(pad)


def _even(pad: PadCase, load: StrengthLoad) -> float:
    """kip a square foot, upward."""
    uplift = weights(pad).uplift / pad.area_ft2 if load.dead_factor < 1 else 0.0
    return uplift - load.dead_factor * (pad.thickness_ft * pad.concrete_pcf / 1000 + _fill(pad, load))


def _fill(pad: PadCase, load: StrengthLoad) -> float:
    """Unfactored backfill on a square foot of pad, kip."""
    return max(0.0, -pad.top_above_grade_ft) * pad.backfill_pcf / 1000 if _backfilled(pad, load) else 0.0


def _handed_down(
    pad: PadCase, stand: Stand, places: Floats, load: StrengthLoad, toward: Floats, moment: float
) -> tuple[Floats, Floats]:
    """Forces of what stands on the pad (ways, legs) and the moment each leaves at the underside."""
    if stand.block:
        # no backfill lies where the pedestal stands
        extra = load.dead_factor * (weights(pad).pedestal - pad.pedestal_ft2 * _fill(pad, load))
        return np.full((len(toward), 1), load.vertical_kip + extra), moment * toward
    down = leg_forces_kip(load, pad.reactions_above_ft, places, toward)
    return down, load.shear_kip * pad.thickness_ft / len(places) * toward


def leg_forces_kip(load: StrengthLoad, above_ft: float, places: Floats, toward: Floats) -> Floats:
    """Forces in kip of legs at places in ft (ways, legs), pressing above 0: P/n + M r cos / sum r^2.

    A rigid base on equal legs; ``above_ft`` is where the loads are stated above them.
    """
    moment = load.moment_kip_ft + load.shear_kip * above_ft
    around = float((places**2).sum()) / 2
    found: Floats = load.vertical_kip / len(places) + moment * (toward @ places.T) / around
    return found


def stations(case: StrengthCase, stand: Stand) -> list[Station]:
    """Faces of a pedestal or tube both ways; lines of legs, their faces, and between the lines."""
    found: list[Station] = []
    for axis in (0, 1):
        depth, half = layer_depth_in(case, "lower", axis) / 12, stand.side_ft / 2
        lines = sorted({round(place[axis], 9) for place in stand.places})
        for i, line in enumerate(lines):
            before = lines[i - 1] if i > 0 else -math.inf
            after = lines[i + 1] if i + 1 < len(lines) else math.inf
            found += _around(axis, line, half, depth, stand, (before, after))
            if after < math.inf:
                between = np.linspace(line, after, BETWEEN + 2)[1:-1]
                found += [Station(axis, float(at), ("moment",)) for at in between]
    reach = (case.pad.side_ft / 2, case.pad.across_ft / 2)
    return [s for s in found if abs(s.off_ft) < reach[s.axis] - 1e-9]


def _around(
    axis: int, line: float, half: float, depth: float, stand: Stand, nearest: tuple[float, float]
) -> list[Station]:
    """Cuts at one line of legs, or at a pedestal: at its two faces, and the effective depth beyond them."""
    found = []
    for side, other in ((-1, nearest[0]), (1, nearest[1])):
        clear = abs(other - line)
        if stand.block:
            found.append(Station(axis, line + side * half, ("moment", "hanging")))
        else:
            found.append(Station(axis, line + side * _BESIDE, ("moment",)))
            if clear > 2 * half:
                found.append(Station(axis, line + side * half, ("hanging",)))
        # nearer together than this the load goes straight from leg to leg
        if clear > 2 * (half + depth):
            found.append(Station(axis, line + side * (half + depth), ("shear",)))
    return found


def cut_forces(found: Factored, stand: Stand, stationed: list[Station]) -> CutForces:
    """Moment in kip-ft and shear in kip across each cut, from the part beyond it (winds, cuts).

    Statics: soil and water up, pad, backfill and legs down, a leg's shear on the arm of the pad's thickness.
    """
    north = np.array([s.axis == 1 for s in stationed])
    off = np.array([s.off_ft for s in stationed])
    polygons = cuts(found.corners, np.stack((~north, north), axis=1).astype(float), off)
    x, y = polygons[..., 0], polygons[..., 1]
    a, b, c = (found.planes[:, i, None] for i in range(3))
    pressed, whole = pressed_parts(x, y, found.planes)
    net = found.net[:, None]
    up = a * pressed.a + b * pressed.x + c * pressed.y + net * whole.a
    first = np.where(
        north,
        a * pressed.y + b * pressed.xy + c * pressed.yy + net * whole.y,
        a * pressed.x + b * pressed.xx + c * pressed.xy + net * whole.x,
    )
    at = np.array(stand.places)[:, [s.axis for s in stationed]]  # (legs, stations)
    past = at > off
    turned = np.where(north, found.turning[:, 1, None], found.turning[:, 0, None]) * past.sum(axis=0)
    shear = up - found.down @ past
    moment = first - off * up - found.down @ (past * (at - off)) - turned
    return CutForces(moment, shear)


@dataclass(frozen=True, kw_only=True)
class Part:
    """What acts on the part beyond one cut. Arms are from the cut; weight is less the water's push."""

    soil_kip: float
    soil_arm_ft: float
    weight_kip: float
    weight_arm_ft: float
    legs_kip: float
    legs_kip_ft: float

    @property
    def turning(self) -> dict[str, float]:
        """What turns about the cut, as MOMENT_AT_CUT takes it."""
        return {
            "Q": self.soil_kip,
            "xq": self.soil_arm_ft,
            "W": self.weight_kip,
            "xw": self.weight_arm_ft,
            "Mf": self.legs_kip_ft,
        }

    @property
    def moment_kip_ft(self) -> float:
        return MOMENT_AT_CUT.value(**self.turning)

    @property
    def pressing(self) -> dict[str, float]:
        """What presses across the cut, as SHEAR_AT_CUT takes it."""
        return {"Q": self.soil_kip, "W": self.weight_kip, "F": self.legs_kip}


def part_beyond(found: Factored, stand: Stand, station: Station, row: int) -> Part:
    """For the steps of a check: one wind, one cut, from its own side."""
    side = -1.0 if station.off_ft < 0 else 1.0
    toward = (side, 0.0) if station.axis == 0 else (0.0, side)
    off = abs(station.off_ft)
    polygon = cut(found.corners, toward, off)
    x, y = polygon[:, 0], polygon[:, 1]
    a, b, c = found.planes[row]
    soil = positive_part(x, y, a + b * x + c * y)
    whole = positive_part(x, y, np.ones_like(x))
    up = a * soil.a + b * soil.x + c * soil.y
    first_x = a * soil.x + b * soil.xx + c * soil.xy
    first_y = a * soil.y + b * soil.xy + c * soil.yy
    about = side * float(first_x if station.axis == 0 else first_y)
    middle = side * float(whole.x if station.axis == 0 else whole.y)
    at = side * np.array(stand.places)[:, station.axis]
    past = at > off
    turned = side * float(found.turning[row, station.axis]) * int(past.sum())
    return Part(
        soil_kip=float(up),
        soil_arm_ft=about / float(up) - off if up > 0 else 0.0,
        weight_kip=-float(found.net[row] * whole.a),
        weight_arm_ft=middle / float(whole.a) - off if whole.a > 0 else 0.0,
        legs_kip=float(found.down[row] @ past),
        legs_kip_ft=float(found.down[row] @ (past * (at - off))) + turned,
    )
