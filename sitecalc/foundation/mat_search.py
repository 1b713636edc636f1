"""The least steel with which a pad of given size passes every check of its concrete and steel."""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass, replace

from sitecalc.checks import Check, Verdict
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.steel import LEAST_RATIO, WIDEST_IN
from sitecalc.foundation.strength_case import StrengthCase
from sitecalc.foundation.tables import BarSize, bars
from sitecalc.inputs import InputError

SIZES: tuple[BarSize, ...] = ("#5", "#6", "#7", "#8", "#9", "#10", "#11")
MOST_TRIES = 8
CLOSEST_IN = 6.0  # bars nearer together are a last resort: common practice, no source
MUST_PASS = frozenset({"bending-lower", "bending-upper", "one-way shear", "two-way shear"})
# what more bars mend, and by what power of the ratio their number must grow
MENDED = {
    "minimum steel": 1.0,
    "minimum-lower": 1.0,
    "minimum-upper": 1.0,
    "bending-lower": 1.05,
    "bending-upper": 1.05,
    "moment transfer": 1.05,
    "one-way shear": 3.0,  # the cube root of the steel ratio
    "bar spacing": 1.0,
}
BY_SIZE = frozenset({"development-lower", "development-upper"})  # what smaller bars mend


@dataclass(frozen=True)
class Mats:
    """``checks`` of the pad with these bars each way in each mat."""

    size: BarSize
    count: int
    checks: tuple[Check, ...]


def with_pad(case: StrengthCase, pad: PadCase) -> StrengthCase:
    """The same mats and legs in another pad."""
    mats = replace(
        case.mats,
        side_ft=pad.side_ft,
        other_side_ft=pad.other_side_ft,
        thickness_ft=pad.thickness_ft,
        outline=pad.outline,
        other_count=None,
    )
    return replace(case, pad=pad, mats=mats)


def least_mats(case: StrengthCase) -> tuple[Mats | None, Check | None]:
    """(mats, or None, what stops the pad then). Bars a hand apart first, lightest first."""
    waiting = _first_counts(case)
    stopped: Check | None = None
    for _ in range(MOST_TRIES):
        if not waiting:
            break
        _close, _weight, count, size = heapq.heappop(waiting)
        try:
            checks = check_strength(replace(case, mats=replace(case.mats, size=size, count=count))).checks
        except InputError:
            continue  # no room for such bars between the covers
        fails = [c for c in checks if stops(c)]
        if not fails:
            return Mats(size, count, checks), None
        stopped = fails[0]
        for c in fails:
            if c.key not in MENDED and c.key not in BY_SIZE:
                return None, c
        if not any(c.key in BY_SIZE for c in fails):
            _push(waiting, case, size, max(count + 1, _enough(count, fails)))
    return None, stopped


Waiting = list[tuple[bool, float, int, BarSize]]


def _first_counts(case: StrengthCase) -> Waiting:
    """Of each size as many as least steel and widest spacing ask for."""
    pad = case.pad
    area = LEAST_RATIO * max(pad.side_ft, pad.across_ft) * pad.thickness_ft * 144
    widest = min(WIDEST_IN, 24 * pad.thickness_ft)
    waiting: Waiting = []
    for size in SIZES:
        by_area = math.ceil(area / bars()[size].area_in2 - 1e-9)
        _push(waiting, case, size, max(3, by_area, math.ceil(_run_in(case) / widest) + 1))
    return waiting


def _run_in(case: StrengthCase) -> float:
    return 12 * max(case.pad.side_ft, case.pad.across_ft) - 2 * case.mats.cover_side_in


def _push(waiting: Waiting, case: StrengthCase, size: BarSize, count: int) -> None:
    if count <= 200:
        close = _run_in(case) / (count - 1) < CLOSEST_IN
        heapq.heappush(waiting, (close, count * bars()[size].weight_lb_ft, count, size))


def stops(check: Check) -> bool:
    """It fails, or could not be checked though a pad's strength hangs on it."""
    return check.verdict is Verdict.FAILS or (check.key in MUST_PASS and not check.passes)


def _enough(count: int, fails: list[Check]) -> int:
    grown = [count * (c.ratio or 1.0) ** MENDED[c.key] for c in fails if c.key in MENDED]
    most = max(grown, default=0.0)
    return math.ceil(most - 1e-6) if math.isfinite(most) else 201
