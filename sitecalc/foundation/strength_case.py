"""A pad with its mats and what stands on it, as its concrete and steel are checked."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sitecalc.cases import same_as
from sitecalc.checks import Step
from sitecalc.formula import Formula
from sitecalc.foundation.anchor_feet import through_bolts
from sitecalc.foundation.bearing import Point
from sitecalc.foundation.development import TOP_BAR_ABOVE_IN, BarInConcrete, development
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.outline import chord
from sitecalc.foundation.pad import PadCase, require_sound
from sitecalc.foundation.rebar import MATS, Mat, MatCase, require_room, spacing_in
from sitecalc.foundation.ring import COARSE, Floats, edges, ring
from sitecalc.foundation.tables import bars
from sitecalc.foundation.words import BarSize, Seat, SeismicCategory
from sitecalc.inputs import InputError, quantity, require_valid

EDITION = "ACI 318-19"
RUNS = ("east to west", "north to south")  # bars that cross a cut square to x, square to y
# bars that run east to west, across cuts square to x, are the outer layer
LAYER_DEPTH = (
    Formula("d", "depth to the outer layer, bars east to west", "h - c - db/2", "in"),
    Formula("d", "depth to the inner layer, bars north to south", "h - c - 3*db/2", "in"),
)
MEAN_DEPTH = Formula("d", "mean depth", "h - c - db", "in")
UNDER_FEET = Formula("d", "under the feet of the bolts, mean depth", "h - hef - t - c - db", "in")
FEET_ROOM = "The feet of the bolts stand within the lower mat: no concrete is left under them."
PAST = Formula("l", "bar past the critical section", "12*(b - x)", "in", {"b": "half a bar"})
AS_SQUARE = math.sqrt(math.pi) / 2  # side of the square as large as a circle, 13.2.7.3


@dataclass(frozen=True, kw_only=True)
class StrengthCase:
    """The loads are those of ``pad``. None: not known; then nothing of it is checked.

    A pedestal on the pad carries whatever stands on it; without one, ``legs`` 0 is a tube on a bolt circle of
    ``leg_spacing_ft``, 3 or 4 legs stand ``leg_spacing_ft`` apart, three with one to the north. Bars that run
    east to west are the outer layer of both mats.
    """

    pad: PadCase = quantity("", "pad, ground and loads")
    mats: MatCase = quantity("", "its two mats and its concrete")
    legs: int | None = quantity(
        "", "0 a tube, 1 a pedestal, 3 or 4 legs", low=0, high=4, default=None, shown_at="base"
    )
    leg_spacing_ft: float | None = same_as(FoundationFigures, "leg_spacing_ft")
    plate_side_in: float | None = same_as(FoundationFigures, "base_plate_side_in")
    # printed examples stand on their concrete
    seat: Seat = same_as(FoundationFigures, "anchor_seat", default="on concrete")
    embedment_in: float | None = same_as(FoundationFigures, "embedment_in", default=None)
    foot_in: tuple[float, float] = quantity(
        "in",
        "side and thickness of a bolt's foot",
        low=0,
        high=24,
        default=(0.0, 0.0),
        shown_at="anchor_foot",
    )
    feet: int = quantity("", "bolts of a leg", low=1, high=60, default=1, shown_at="anchor_per_leg")
    feet_apart_in: float | None = quantity(
        "in",
        "side of the square on which the bolts of a leg stand",
        low=0,
        high=240,
        default=None,
        shown_at="anchor_pattern_in",
    )
    leg_side_in: float = quantity(
        "in", "width of a leg on its plate, 0 if not known", low=0, high=60, default=0.0
    )
    light: float = quantity("", "lambda, 1 for normal-weight concrete", low=0.75, high=1, default=1.0)
    seismic: SeismicCategory | None = same_as(FoundationFigures, "seismic_category")
    # the verticals of the pedestal; where nothing is said of them they are not known, and nothing is checked
    dowel_size: BarSize | None = same_as(FoundationFigures, "pedestal_bar_size", default=None)
    dowels: int | None = same_as(FoundationFigures, "pedestal_bars", default=None)
    dowel_cover_in: float = quantity(
        "in", "clear cover of those bars", low=1, high=12, default=3.0, shown_at="pedestal_side_ft"
    )
    # any words are taken: of another edition than the form offers it is said that it is not known
    edition: str = quantity("", "edition of the concrete code", default=EDITION, shown_at="concrete_code")

    @cached_property
    def stand(self) -> Stand | None:
        """What hands the load to the pad; None while it is not known."""
        pad = self.pad
        if pad.pedestal is not None:
            like = 1.0 if pad.pedestal == "square" else AS_SQUARE
            return Stand(((0.0, 0.0),), like * pad.stump_ft[0], True, "pedestal")
        if self.legs is None or self.leg_spacing_ft is None:
            return None
        half = self.leg_spacing_ft / 2
        if self.legs == 0:
            # bolts stand about halfway from the shaft to the edge of its base plate, table 13.2.7.1
            return Stand(((0.0, 0.0),), AS_SQUARE * self.leg_spacing_ft, True, "tube")
        side = self._leg_side_ft
        if side is None:
            return None
        if self.legs == 4:
            return Stand(((-half, -half), (half, -half), (half, half), (-half, half)), side, False, "leg")
        out = self.leg_spacing_ft / math.sqrt(3)
        return Stand(((-half, -out / 2), (half, -out / 2), (0.0, out)), side, False, "leg")

    @property
    def _leg_side_ft(self) -> float | None:
        """Halfway from leg to edge of plate, 13.2.7.1; of a plate that does not bear, the feet of its bolts.

        Feet far apart punch each by itself: never more than the perimeters of all of them.
        """
        if not through_bolts(self.seat):
            return None if self.plate_side_in is None else (self.plate_side_in + self.leg_side_in) / 2 / 12
        if self.feet_apart_in is None:
            return None
        foot, depth = self.foot_in[0], max(0.0, punching_depth_in(self, "lower"))
        return min(self.feet_apart_in + foot, self.feet * (foot + depth) - depth) / 12

    @property
    def through_feet(self) -> bool:
        """What presses comes out of the feet of the bolts, and they stand in the pad, not in a pedestal."""
        stump = self.pad.stump_ft[1] * 12 if self.pad.pedestal else 0.0
        return through_bolts(self.seat) and self.embedment_in is not None and self.embedment_in > stump

    @cached_property
    def bar_halves_ft(self) -> dict[tuple[Mat, int], Floats]:
        """Half the length of every bar of a mat that a cut square to x (axis 0) crosses, square to y (1)."""
        pad, mats = self.pad, self.mats
        sides = ((pad.across_ft, pad.side_ft), (pad.side_ft, pad.across_ft))
        found: dict[tuple[Mat, int], Floats] = {}
        for mat in MATS:
            for axis, (across, along) in enumerate(sides):
                n, apart = mats.count_of(RUNS[axis], mat), spacing_in(mats, RUNS[axis], mat) / 12
                places = (np.arange(n) - (n - 1) / 2) * apart
                lengths = [chord(pad.outline, across, along, float(place)) for place in places]
                found[mat, axis] = np.array(lengths) / 2 - mats.cover_side_in / 12
        return found

    @cached_property
    def development_in(self) -> dict[tuple[Mat, int], tuple[float, float]]:
        """(straight, hooked) of each layer, by mat and axis of the cut."""
        found = {(mat, axis): development(self.bar_in_concrete(mat, axis)) for mat in MATS for axis in (0, 1)}
        return {layer: (each.straight_in, each.hooked_in) for layer, each in found.items()}

    def bar_in_concrete(self, mat: Mat, axis: int) -> BarInConcrete:
        """A bar of a mat across a cut square to x (axis 0) or y (1), with what surrounds it."""
        mats, db = self.mats, self.mats.bar_of(mat).diameter_in
        cover = mats.cover_of(mat)
        apart = spacing_in(mats, RUNS[axis], mat)
        height = self.pad.thickness_ft * 12
        below = cover + axis * db if mat == "lower" else height - cover - db * (1 + axis)
        return BarInConcrete(
            size=mats.size_of(mat),
            fc_psi=mats.fc_psi,
            yield_ksi=mats.yield_ksi,
            top=below > TOP_BAR_ABOVE_IN,
            close=apart - db < 2 * db or min(cover, mats.cover_side_in) < db,
            light=self.light,
            hooks_apart=apart >= 6 * db,
            hooks_covered=mats.cover_side_in >= 6 * db,
        )


@dataclass(frozen=True)
class Stand:
    """``side_ft``: of the square the load comes from, a pedestal or halfway from leg to edge of plate."""

    places: tuple[Point, ...]
    side_ft: float
    block: bool
    word: str


def require_sound_strength(case: StrengthCase) -> None:
    """InputError where pad and mats are not the same, or what stands on the pad stands past its edge."""
    require_valid(case)
    require_sound(case.pad)
    require_room(case.mats)
    pad, mats = case.pad, case.mats
    alike = (
        ("mats.side_ft", pad.side_ft, mats.side_ft),
        ("mats.other_side_ft", pad.across_ft, mats.across_ft),
        ("mats.thickness_ft", pad.thickness_ft, mats.thickness_ft),
        ("mats.outline", pad.outline, mats.outline),
    )
    for field, ours, theirs in alike:
        if ours != theirs:
            raise InputError(field, f"is {theirs} for the mats and {ours} for the pad.")
    if case.legs == 2:
        raise InputError("legs", "are 3 or 4, 0 for a tube, 1 for a pedestal.")
    if through_bolts(case.seat) and case.embedment_in is None:
        raise InputError("embedment_in", "is not given, and the bolts carry what presses.")
    if case.legs == 1 and pad.pedestal is None:
        raise InputError("legs", "1 is a pedestal, and the pad has none.")
    if case.dowel_size is not None and pad.pedestal is not None:
        room = 6 * pad.stump_ft[0] - case.dowel_cover_in
        if room <= bars()[case.dowel_size].diameter_in:
            raise InputError("dowel_cover_in", "leaves no room for the dowels in the pedestal.")
    stand = case.stand
    if stand is not None and not _on_pad(pad, stand):
        raise InputError("leg_spacing_ft", "puts what stands on the pad past its edge.")


def _on_pad(pad: PadCase, stand: Stand) -> bool:
    normals, offsets = edges(ring(pad.outline, pad.side_ft, pad.across_ft, COARSE))
    reach = normals @ np.array(stand.places).T + stand.side_ft / 2 * np.abs(normals).sum(axis=1)[:, None]
    return bool((reach < offsets[:, None]).all())


def layer_depth_in(case: StrengthCase, mat: Mat, axis: int) -> float:
    """Pressed face to the middle of the bars across a cut square to x (axis 0) or to y (1), in.

    h - c - db / 2, and one bar less for the inner layer: bars from east to west lie outside. Plane geometry.
    """
    return LAYER_DEPTH[axis].value(**_depth(case, mat))


def layer_depth_step(case: StrengthCase, mat: Mat, axis: int) -> Step:
    """The depth of :func:`layer_depth_in` with its arithmetic."""
    return LAYER_DEPTH[axis].step(**_depth(case, mat))


def _depth(case: StrengthCase, mat: Mat) -> dict[str, float]:
    """What a depth is worked from, in inches."""
    return {
        "h": case.pad.thickness_ft * 12,
        "c": case.mats.cover_of(mat),
        "db": case.mats.bar_of(mat).diameter_in,
    }


def mean_depth_in(case: StrengthCase, mat: Mat) -> float:
    """Mean depth of both layers in in, as two-way shear is worked with.

    ACI 318-19, 22.6.2.1 (read in secondary copies).
    """
    return MEAN_DEPTH.value(**_depth(case, mat))


def mean_depth_step(case: StrengthCase, mat: Mat) -> Step:
    """The depth of :func:`mean_depth_in` with its arithmetic."""
    return MEAN_DEPTH.step_of(f"mean depth of its two layers, {mat} mat", **_depth(case, mat))


def punching_depth_in(case: StrengthCase, mat: Mat) -> float:
    """What stands against two-way shear, in: of the lower mat under the feet that bring the load, if so."""
    return punching_depth_step(case, mat).value


def punching_depth_step(case: StrengthCase, mat: Mat) -> Step:
    """The depth of :func:`punching_depth_in` with its arithmetic."""
    if mat == "upper" or not case.through_feet:
        return mean_depth_step(case, mat)
    numbers = _depth(case, mat)
    numbers["h"] += 12 * (case.pad.stump_ft[1] if case.pad.pedestal else 0.0)
    return UNDER_FEET.step(**numbers, hef=case.embedment_in, t=case.foot_in[1])


def width_ft(case: StrengthCase, axis: int, off: float) -> float:
    """Width in ft of the pad along a cut square to x (axis 0) or y (1), ``off`` ft from the middle.

    As of :func:`sitecalc.foundation.outline.chord`.
    """
    pad = case.pad
    across, along = (pad.side_ft, pad.across_ft) if axis == 0 else (pad.across_ft, pad.side_ft)
    return chord(pad.outline, across, along, off)


def developed_bars(case: StrengthCase, mat: Mat, axis: int, off: float) -> int:
    """Number of bars across a cut ``off`` ft from the middle that count as pulled to yield there.

    In an octagon or a circle those that run ld, with hooks ldh, past it; in a rectangle all, for the check of
    development looks at them. ACI 318-19, 13.2.8 and 25.4 (read in secondary copies).
    """
    if case.pad.outline == "rectangle":
        return case.mats.count_of(RUNS[axis], mat)
    needed = case.development_in[mat, axis][case.mats.ends != "straight"] / 12
    return int((case.bar_halves_ft[mat, axis] - abs(off) >= needed).sum())


def banded(case: StrengthCase, axis: int) -> float:
    """Share of the bars that counts: a rectangle's short bars belong by 2 / (b + 1) in its middle band.

    They lie evenly, so that the band, 1 / b of the length, has less than 13.3.3.3 asks for: (b + 1) / (2 b)
    of them count. ACI 318-19, 13.3.3.3 (read in secondary copies).
    """
    ratio = band_ratio(case, axis)
    return 1.0 if ratio <= 1 else (ratio + 1) / (2 * ratio)


def band_ratio(case: StrengthCase, axis: int) -> float:
    """b of ACI 318-19, 13.3.3.3 (no unit): how far the bars are spread over how long they are."""
    pad = case.pad
    return pad.across_ft / pad.side_ft if axis == 0 else pad.side_ft / pad.across_ft


def crossing_bars(case: StrengthCase, mat: Mat, axis: int, off: float) -> int:
    """Number of a mat's bars across a cut square to x (axis 0) or y (1), ``off`` ft from the middle.

    In an octagon or a circle those whose half length reaches it. Plane geometry.
    """
    if case.pad.outline == "rectangle":
        return case.mats.count_of(RUNS[axis], mat)
    return int((case.bar_halves_ft[mat, axis] > abs(off)).sum())


def past_in(case: StrengthCase, mat: Mat, axis: int, off: float) -> float:
    """How far in in the middle bar of a mat runs past a cut ``off`` ft from the middle. Plane geometry."""
    return past_step(case, mat, axis, off).value


def past_step(case: StrengthCase, mat: Mat, axis: int, off: float) -> Step:
    """The length of :func:`past_in` with its arithmetic."""
    return PAST.step(b=float(case.bar_halves_ft[mat, axis].max()), x=abs(off))
