"""The least steel with which a pad of given size passes every check of its concrete and steel."""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass, replace

from sitecalc.checks import Check, Verdict
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.rebar import Mat, MatCase
from sitecalc.foundation.steel import LEAST, WIDEST_IN
from sitecalc.foundation.strength_case import StrengthCase
from sitecalc.foundation.tables import bars
from sitecalc.foundation.words import BarSize
from sitecalc.inputs import InputError

SIZES: tuple[BarSize, ...] = ("#5", "#6", "#7", "#8", "#9", "#10", "#11")
MOST_TRIES = 8
CLOSEST_IN = 6.0  # bars nearer together are a last resort: common practice, no source
MUST_PASS = frozenset({"bending-lower", "bending-upper", "one-way shear", "two-way shear"})
# what more bars mend, and by what power of the ratio their number must grow
TRANSFER = "moment transfer"
MENDED = {
    "minimum steel": 1.0,
    "minimum-lower": 1.0,
    "minimum-upper": 1.0,
    "bending-lower": 1.05,
    "bending-upper": 1.05,
    TRANSFER: 1.05,
    "one-way shear": 3.0,  # the cube root of the steel ratio
    "bar spacing": 1.0,
}
BY_SIZE = frozenset({"development-lower", "development-upper"})  # what smaller bars mend


# what only the bars of the upper mat mend
ONLY_UPPER = frozenset({"minimum-upper", "bending-upper", "development-upper"})


@dataclass(frozen=True)
class Mats:
    """``checks`` of the pad with these bars each way in each mat."""

    size: BarSize
    count: int
    upper_size: BarSize
    upper_count: int
    checks: tuple[Check, ...]

    @property
    def weight_lb_ft(self) -> float:
        """Of a bar's run of both mats one way."""
        return _weight(self.size, self.count) + _weight(self.upper_size, self.upper_count)


def with_pad(case: StrengthCase, pad: PadCase) -> StrengthCase:
    """The same mats and legs in another pad."""
    mats = replace(
        case.mats,
        side_ft=pad.side_ft,
        other_side_ft=pad.other_side_ft,
        thickness_ft=pad.thickness_ft,
        outline=pad.outline,
        other_count=None,
        upper_size=None,
        upper_count=None,
        upper_other_count=None,
    )
    return replace(case, pad=pad, mats=mats)


def least_mats(case: StrengthCase) -> tuple[Mats | None, Check | None]:
    """(mats, or None, what stops the pad then). Bars a hand apart first, lightest first.

    The lower mat first, whatever the upper one, like it for now, lacks or has too much of; then the upper mat
    that does with it.
    """
    like = replace(case, mats=replace(case.mats, upper_size=None, upper_count=None, upper_other_count=None))
    lower, stopped = _lightest(like, "lower", _first_counts(like, "lower"))
    if lower is None:
        return None, stopped
    size, count, _checks = lower
    under = replace(like, mats=replace(like.mats, size=size, count=count, other_count=None))
    upper, stopped = _lightest(under, "upper", _first_counts(under, "upper"))
    if upper is None:
        return None, stopped
    return Mats(size, count, *upper), None


Found = tuple[BarSize, int, tuple[Check, ...]]


def _lightest(case: StrengthCase, mat: Mat, waiting: Waiting) -> tuple[Found | None, Check | None]:
    """The lightest bars of one mat that pass what hangs on it; of the upper mat everything must pass."""
    others = ONLY_UPPER if mat == "lower" else frozenset[str]()
    stopped: Check | None = None
    for _ in range(MOST_TRIES):
        if not waiting:
            break
        _close, _weight, count, size = heapq.heappop(waiting)
        tried = _with_bars(case, mat, size, count)
        try:
            checks = check_strength(tried).checks
        except InputError:
            continue  # no room for such bars between the covers
        fails = [c for c in checks if stops(c) and c.key not in others]
        if not fails:
            return (size, count, checks), None
        stopped = fails[0]
        for c in fails:
            if c.key not in MENDED and c.key not in BY_SIZE:
                return None, c
        if not any(c.key in BY_SIZE for c in fails):
            _push(waiting, case, size, max(count + 1, _enough(tried.mats, mat, fails)))
    return None, stopped


def _with_bars(case: StrengthCase, mat: Mat, size: BarSize, count: int) -> StrengthCase:
    if mat == "lower":
        return replace(case, mats=replace(case.mats, size=size, count=count))
    return replace(case, mats=replace(case.mats, upper_size=size, upper_count=count))


Waiting = list[tuple[bool, float, int, BarSize]]


def _first_counts(case: StrengthCase, mat: Mat) -> Waiting:
    """Of each size as many as the widest spacing asks for, and least steel in the lower mat."""
    pad = case.pad
    gross = max(pad.side_ft, pad.across_ft) * pad.thickness_ft * 144
    area = LEAST.value(Ag=gross) if mat == "lower" else 0.0
    widest = min(WIDEST_IN, 24 * pad.thickness_ft)
    waiting: Waiting = []
    for size in SIZES:
        by_area = math.ceil(area / bars()[size].area_in2 - 1e-9)
        _push(waiting, case, size, max(3, by_area, _spaces(case, size, widest)))
    return waiting


def _spaces(case: StrengthCase, size: BarSize, widest: float) -> int:
    """Bars that are no farther apart; in a circle the outermost stand one space inside the rim."""
    spaces = math.ceil((_run_in(case) - bars()[size].diameter_in) / widest - 1e-9)
    return spaces - 1 if case.pad.outline == "circle" else spaces + 1


def _weight(size: BarSize, count: int) -> float:
    return count * bars()[size].weight_lb_ft


def _run_in(case: StrengthCase) -> float:
    return 12 * max(case.pad.side_ft, case.pad.across_ft) - 2 * case.mats.cover_side_in


def _push(waiting: Waiting, case: StrengthCase, size: BarSize, count: int) -> None:
    if count <= 200:
        close = _run_in(case) / (count - 1) < CLOSEST_IN
        heapq.heappush(waiting, (close, _weight(size, count), count, size))


def stops(check: Check) -> bool:
    """It fails, or could not be checked though a pad's strength hangs on it."""
    return check.verdict is Verdict.FAILS or (check.key in MUST_PASS and check.needs_answer)


def _enough(mats: MatCase, mat: Mat, fails: list[Check]) -> int:
    """Bars of that mat that would mend all; what both mats hold together grows by this one alone."""
    count = mats.count if mat == "lower" or mats.upper_count is None else mats.upper_count
    own = count * mats.bar_of(mat).area_in2
    both = own if mat == "lower" else own + mats.count * mats.bar_of("lower").area_in2
    grown = [
        count
        * (
            1
            + ((1.0 if c.ratio is None else c.ratio) ** MENDED[c.key] - 1)
            * (both / own if c.key == TRANSFER else 1.0)
        )
        for c in fails
        if c.key in MENDED
    ]
    most = max(grown, default=0.0)
    return math.ceil(most - 1e-6) if math.isfinite(most) else 201
