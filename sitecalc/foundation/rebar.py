"""The two mats bar by bar: spacing, lengths, laps, weights, chairs and ties."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.foundation.tables import BarSize, bars
from sitecalc.inputs import InputError, quantity, require_valid

LAP_RULE = "ACI 318-19, 25.4.2.3 and 25.5.2, class B"
CHAIR_EVERY_FT = 4.0
TIE_WIRE_LB_PER_TON = 12.0
TOP_BAR_ABOVE_IN = 12.0  # concrete placed below a bar that makes it a top bar


@dataclass(frozen=True)
class MatCase:
    """Two mats of straight bars, the same number each way in both."""

    side_ft: float = quantity("ft", "side of the pad, east to west", low=4, high=80)
    thickness_ft: float = quantity("ft", "thickness of the pad", low=1, high=12)
    other_side_ft: float | None = quantity(
        "ft", "side north to south, if not the same", low=4, high=80, default=None
    )
    size: BarSize = quantity("", "bar size", default="#6")
    count: int = quantity("", "bars each way in each mat", low=2, high=200, default=18)
    cover_lower_in: float = quantity("in", "clear cover under the lower mat", low=1, high=72, default=12.0)
    cover_upper_in: float = quantity("in", "clear cover over the upper mat", low=1, high=72, default=12.0)
    cover_side_in: float = quantity("in", "clear cover at the sides", low=1, high=12, default=3.0)
    fc_psi: float = quantity(
        "psi", "specified strength of the concrete", low=2_500, high=10_000, default=4_500.0
    )
    yield_ksi: float = quantity("ksi", "yield strength of the bars", low=40, high=80, default=60.0)
    stock_ft: float = quantity("ft", "longest bar the supplier sends", low=10, high=60, default=40.0)

    @property
    def across_ft(self) -> float:
        return self.other_side_ft or self.side_ft


@dataclass(frozen=True)
class BarMark:
    """One line of the bar list. ``pieces`` a bar, each ``piece_ft`` long, lapped ``lap_in``."""

    mark: str
    mat: str
    runs: str
    size: str
    count: int
    length_ft: float
    pieces: int
    piece_ft: float
    lap_in: float
    spacing_in: float
    weight_lb: float


@dataclass(frozen=True)
class RebarList:
    """Weight is of all bars with laps; chairs and tie wire are common practice, no source."""

    marks: tuple[BarMark, ...]
    weight_lb: float
    chairs: int
    tie_wire_lb: float


def rebar_list(case: MatCase) -> RebarList:
    require_valid(case)
    require_room(case)
    marks = tuple(
        _mark(case, mat, way) for mat in ("lower", "upper") for way in ("east to west", "north to south")
    )
    weight = sum(m.weight_lb for m in marks)
    across, along = (math.ceil(s / CHAIR_EVERY_FT) for s in (case.side_ft, case.across_ft))
    return RebarList(
        marks=marks,
        weight_lb=weight,
        chairs=2 * across * along,
        tie_wire_lb=math.ceil(weight / 2000 * TIE_WIRE_LB_PER_TON),
    )


def require_room(case: MatCase) -> None:
    """Both mats, two layers each, must fit between the covers."""
    depth = case.thickness_ft * 12
    steel = 4 * bars()[case.size].diameter_in
    needed = case.cover_lower_in + case.cover_upper_in + steel
    if needed > depth:
        raise InputError(
            "cover_upper_in",
            f"leaves no room: covers and two mats need {needed:g} in of {depth:g} in.",
        )


def spacing_in(case: MatCase, bars_run: str) -> float:
    """Center to center of bars that run that way, laid out evenly between the side covers."""
    spread = case.across_ft if bars_run == "east to west" else case.side_ft
    return (spread * 12 - 2 * case.cover_side_in - bars()[case.size].diameter_in) / (case.count - 1)


def development_in(size: BarSize, fc_psi: float, yield_ksi: float, *, top: bool) -> float:
    """Length a straight uncoated bar needs to be developed, in; clear spacing 2 db and cover db or more.

    ACI 318-19, 25.4.2.3 (from memory): fy psi_t psi_g db / (25 sqrt f'c) to #6, / (20 sqrt f'c) above;
    psi_t 1.3 with more than 12 in of fresh concrete below; psi_g 1.15 above 60 ksi; at least 12 in.
    """
    bar = bars()[size]
    part = 25 if int(size[1:]) <= 6 else 20
    place = 1.3 if top else 1.0
    grade = 1.15 if yield_ksi > 60 else 1.0
    length = yield_ksi * 1000 * place * grade / (part * math.sqrt(min(fc_psi, 10_000.0))) * bar.diameter_in
    return max(12.0, length)


def lap_in(size: BarSize, fc_psi: float, yield_ksi: float, *, top: bool) -> float:
    """Class B lap, rounded up to the inch: 1.3 of the development length, 12 in at least."""
    return float(math.ceil(1.3 * development_in(size, fc_psi, yield_ksi, top=top) - 1e-9))


def pieces(length_ft: float, stock_ft: float, lap_ft: float) -> tuple[int, float]:
    """(pieces, length of each in ft) of a bar lapped from stock: n = ceil((L - lap) / (stock - lap))."""
    if length_ft <= stock_ft + 1e-9:
        return 1, length_ft
    if lap_ft >= stock_ft:
        raise InputError("stock_ft", f"is no longer than a lap of {lap_ft:.1f} ft.")
    count = math.ceil((length_ft - lap_ft) / (stock_ft - lap_ft) - 1e-9)
    return count, (length_ft + (count - 1) * lap_ft) / count


def _mark(case: MatCase, mat: str, runs: str) -> BarMark:
    along = case.side_ft if runs == "east to west" else case.across_ft
    length = along - 2 * case.cover_side_in / 12
    below = case.cover_lower_in if mat == "lower" else case.thickness_ft * 12 - case.cover_upper_in
    lap = lap_in(case.size, case.fc_psi, case.yield_ksi, top=below > TOP_BAR_ABOVE_IN)
    count, each = pieces(length, case.stock_ft, lap / 12)
    return BarMark(
        mark=f"{'B' if mat == 'lower' else 'T'}{1 if runs == 'east to west' else 2}",
        mat=mat,
        runs=runs,
        size=case.size,
        count=case.count,
        length_ft=length,
        pieces=count,
        piece_ft=each,
        lap_in=lap if count > 1 else 0.0,
        spacing_in=spacing_in(case, runs),
        weight_lb=case.count * count * each * bars()[case.size].weight_lb_ft,
    )
