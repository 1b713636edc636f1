"""What would pass: the square pad with the least concrete that holds the given loads on the given ground."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from sitecalc.checks import Check, Verdict
from sitecalc.foundation.pad import Combination, PadCase, combinations
from sitecalc.foundation.stability import allowable_bearing, check_pad
from sitecalc.inputs import InputError, quantity, require_valid

STEP_FT = 0.5
LARGEST_FT, DEEPEST_FT = 60.0, 10.0
# how much thicker than it must be a pad is still worth trying
THICKER_FT = 4.0
# what a wider pad changes; frost is met by the thickness it is given
BY_SIDE = frozenset({"bearing", "contact", "overturning", "sliding", "buoyancy"})


@dataclass(frozen=True)
class SearchCase:
    """``pad`` gives loads, ground and level of the top; its own size is not used."""

    pad: PadCase = quantity("", "loads, ground and rules")
    least_side_ft: float = quantity("ft", "no side smaller than this", low=4, high=60, default=4.0)
    least_thickness_ft: float = quantity("ft", "no thinner than this", low=1, high=10, default=1.5)


@dataclass(frozen=True)
class SmallestPad:
    """``governs`` is its highest used check; ``smaller_fails`` what stops the pad one step smaller."""

    side_ft: float
    thickness_ft: float
    volume_yd3: float
    governs: Check
    smaller_ft: float | None
    smaller_fails: Check | None
    not_checked: tuple[str, ...]


@dataclass(frozen=True)
class SearchResult:
    found: SmallestPad | None
    why_none: str = ""


def smallest_pad(case: SearchCase) -> SearchResult:
    """Sides and thicknesses in half feet. Holds the checks of the pad on its ground, not its steel."""
    require_valid(case)
    pad = case.pad
    if combinations(pad) is None or allowable_bearing(pad)[0] is None:
        return SearchResult(None, "Loads and an allowable bearing must be given first.")
    best: PadCase | None = None
    for tried in _candidates(case):
        # sides come in rising order within each thickness: the first that passes is the least of it
        if best is not None and tried.area_ft2 * tried.thickness_ft >= _volume(best):
            continue
        if _passes(tried):
            best = tried
    if best is None:
        return SearchResult(
            None, f"No square pad up to {LARGEST_FT:g} ft and {DEEPEST_FT:g} ft thick passes on this ground."
        )
    return SearchResult(_described(best, case))


def _candidates(case: SearchCase) -> Iterator[PadCase]:
    pad = case.pad
    top = pad.top_above_grade_ft
    # the underside below the frost line, and below grade at all
    thickness = _stepped(max(case.least_thickness_ft, (pad.frost_ft or 0.0) + top, top + STEP_FT))
    last = min(DEEPEST_FT, thickness + THICKER_FT)
    while thickness <= last:
        side = _stepped(case.least_side_ft)
        while side <= LARGEST_FT:
            yield replace(pad, side_ft=side, other_side_ft=None, thickness_ft=thickness)
            side += STEP_FT
        thickness += STEP_FT


def _stepped(feet: float) -> float:
    return math.ceil(feet / STEP_FT - 1e-9) * STEP_FT


def _volume(pad: PadCase) -> float:
    return pad.area_ft2 * pad.thickness_ft


def _passes(pad: PadCase) -> bool:
    pair = combinations(pad)
    allowable = allowable_bearing(pad)[0]
    assert pair is not None and allowable is not None
    if any(_surely_fails(c, pad, allowable) for c in pair):
        return False
    try:
        checks = check_pad(pad).checks
    except InputError:
        return False
    return all(c.verdict is not Verdict.FAILS for c in checks) and any(
        c.key == "bearing" and c.passes for c in checks
    )


def _surely_fails(c: Combination, pad: PadCase, allowable: float) -> bool:
    """Overturned, or over the allowable even if soil could pull, which never presses a corner harder."""
    if c.vertical_kip <= 0 or c.moment_kip_ft >= c.vertical_kip * pad.side_ft / 2:
        return True
    mean = c.vertical_kip * 1000 / pad.area_ft2
    diagonal = 6 * math.sqrt(2) * c.moment_kip_ft / c.vertical_kip / pad.side_ft
    return mean * (1 + diagonal) > allowable * (1 + 1e-9)


def _described(best: PadCase, case: SearchCase) -> SmallestPad:
    checks = check_pad(best).checks
    smaller = best.side_ft - STEP_FT
    tried = replace(best, side_ft=smaller) if smaller >= case.least_side_ft else None
    stops = [c for c in check_pad(tried).checks if not c.passes and c.key in BY_SIDE] if tried else []
    return SmallestPad(
        side_ft=best.side_ft,
        thickness_ft=best.thickness_ft,
        volume_yd3=_volume(best) / 27,
        governs=max((c for c in checks if c.passes and c.key in BY_SIDE), key=lambda c: c.ratio or 0.0),
        smaller_ft=smaller if tried else None,
        smaller_fails=next((c for c in stops if c.verdict is Verdict.FAILS), None),
        not_checked=tuple(c.title for c in checks if c.verdict is Verdict.NOT_CHECKED),
    )
