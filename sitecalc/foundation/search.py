"""What would pass: the pad with the least concrete, then steel, that holds given loads on given ground."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from sitecalc.checks import Check, Verdict
from sitecalc.foundation.mat_search import Mats, least_mats, with_pad
from sitecalc.foundation.pad import Combination, PadCase, combinations
from sitecalc.foundation.stability import allowable_bearing, check_pad
from sitecalc.foundation.strength_case import StrengthCase
from sitecalc.foundation.words import Outline
from sitecalc.inputs import InputError, quantity, require_valid

STEP_FT = 0.5
LARGEST_FT, DEEPEST_FT = 60.0, 10.0
# how much thicker than it must be a pad is still worth trying
THICKER_FT = 4.0
# what a wider pad changes; frost is met by the thickness it is given
BY_SIDE = frozenset({"bearing", "contact", "overturning", "sliding", "buoyancy"})
# what the loads ask of concrete and steel; least steel is met by the bars it is given
BY_LOAD = frozenset(
    {
        "bending-lower", "bending-upper", "one-way shear", "two-way shear", "two-way shear-pulled",
        "development-lower", "development-upper", "moment transfer", "concrete bearing",
        "pedestal",
    }
)  # fmt: skip
# greatest over mean pressure is 1 + this e / side where soil can pull: at a square's corner, an octagon's
# corner and a circle's rim
LEANING: dict[Outline, float] = {"rectangle": 6 * math.sqrt(2), "octagon": 8.19, "circle": 8.0}
MOST_JUDGED = 30
# what no other size of pad mends
NOT_BY_SIZE = frozenset({"cover", "least strength", "pedestal", "dowels"})


@dataclass(frozen=True)
class SearchCase:
    """``pad`` gives loads, ground, outline and level of the top; its own size is not used.

    ``strength`` gives covers, concrete and what stands on the pad; then its concrete and steel pass too, and
    bars are found for it. Its own pad, and size and number of its bars, are not used.
    """

    pad: PadCase = quantity("", "loads, ground and rules")
    least_side_ft: float = quantity("ft", "no side smaller than this", low=4, high=60, default=4.0)
    least_thickness_ft: float = quantity("ft", "no thinner than this", low=1, high=10, default=1.5)
    strength: StrengthCase | None = quantity("", "mats and legs; none: the ground only", default=None)


@dataclass(frozen=True, kw_only=True)
class SmallestPad:
    """``governs`` is its highest used check; ``smaller_fails`` what stops the pad one step smaller.

    ``size`` and ``count`` of bars each way in the lower mat, ``upper_size`` and ``upper_count`` in the upper,
    with the highest used check of its strength.
    """

    side_ft: float
    thickness_ft: float
    volume_yd3: float
    governs: Check
    smaller_ft: float | None
    smaller_fails: Check | None
    not_checked: tuple[str, ...]
    size: str | None = None
    count: int | None = None
    strength_governs: Check | None = None
    upper_size: str | None = None
    upper_count: int | None = None


@dataclass(frozen=True)
class SearchResult:
    found: SmallestPad | None
    why_none: str = ""


def smallest_pad(case: SearchCase) -> SearchResult:
    """The pad with the least concrete, then steel, that passes, in half feet.

    Bars are tried on pads the ground holds. Sides to 60 ft, thickness to 10 ft and up to 4 ft more than it
    must be; where there is none, it is said what stopped it. By the checks of
    :func:`sitecalc.foundation.stability.check_pad` and
    :func:`sitecalc.foundation.pad_strength.check_strength`.
    """
    require_valid(case)
    pad = case.pad
    if combinations(pad) is None or allowable_bearing(pad)[0] is None:
        return SearchResult(None, "Loads and an allowable bearing must be given first.")
    if case.strength is not None and case.strength.stand is None:
        return SearchResult(None, "Legs, their spacing and base plates must be given first.")
    stopped: Check | None = None
    judged = 0
    for tried in _candidates(case):
        if not _passes(tried):
            continue
        if case.strength is None:
            return SearchResult(_described(tried, None, case))
        mats, fails = _mats(case.strength, tried)
        if mats is not None:
            return SearchResult(_described(tried, mats, case))
        stopped, judged = fails or stopped, judged + 1
        if judged >= MOST_JUDGED or (stopped is not None and stopped.key in NOT_BY_SIZE):
            break
    return SearchResult(None, _why_none(case, stopped))


def _why_none(case: SearchCase, stopped: Check | None) -> str:
    shape = {"rectangle": "square", "octagon": "octagonal", "circle": "round"}[case.pad.outline]
    if stopped is None:
        return f"No {shape} pad up to {LARGEST_FT:g} ft and {DEEPEST_FT:g} ft thick passes on this ground."
    return f"No {shape} pad was found whose concrete and steel pass. {stopped.title}: {stopped.note}"


def _mats(strength: StrengthCase, tried: PadCase) -> tuple[Mats | None, Check | None]:
    try:
        return least_mats(with_pad(strength, tried))
    except InputError:
        return None, None


def _candidates(case: SearchCase) -> list[PadCase]:
    """By rising volume; of equal volumes the thinner first."""
    pad = case.pad
    top = pad.top_above_grade_ft
    # the underside below the frost line, and below grade at all
    thickness = _stepped(max(case.least_thickness_ft, (pad.frost_ft or 0.0) + top, top + STEP_FT))
    last = min(DEEPEST_FT, thickness + THICKER_FT)
    sizes = []
    while thickness <= last:
        side = _stepped(case.least_side_ft)
        while side <= LARGEST_FT:
            sizes.append((side * side * thickness, thickness, side))
            side += STEP_FT
        thickness += STEP_FT
    return [
        replace(pad, side_ft=side, other_side_ft=None, thickness_ft=thick)
        for _v, thick, side in sorted(sizes)
    ]


def _stepped(feet: float) -> float:
    return math.ceil(feet / STEP_FT - 1e-9) * STEP_FT


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
    leaning = LEANING[pad.outline] * c.moment_kip_ft / c.vertical_kip / pad.side_ft
    return mean * (1 + leaning) > allowable * (1 + 1e-9)


def _described(best: PadCase, mats: Mats | None, case: SearchCase) -> SmallestPad:
    checks = check_pad(best).checks
    smaller = best.side_ft - STEP_FT
    tried = replace(best, side_ft=smaller) if smaller >= case.least_side_ft else None
    every = [*checks, *(mats.checks if mats else ())]
    return SmallestPad(
        side_ft=best.side_ft,
        thickness_ft=best.thickness_ft,
        volume_yd3=best.area_ft2 * best.thickness_ft / 27,
        governs=_highest(tuple(c for c in checks if c.key in BY_SIDE)),
        smaller_ft=smaller if tried else None,
        smaller_fails=_stopped(tried, case.strength) if tried else None,
        not_checked=tuple(c.title for c in every if c.verdict is Verdict.NOT_CHECKED),
        size=mats.size if mats else None,
        count=mats.count if mats else None,
        upper_size=mats.upper_size if mats else None,
        upper_count=mats.upper_count if mats else None,
        strength_governs=_highest(tuple(c for c in mats.checks if c.key in BY_LOAD)) if mats else None,
    )


def _highest(checks: tuple[Check, ...]) -> Check:
    return max((c for c in checks if c.passes), key=lambda c: c.ratio or 0.0)


def _stopped(smaller: PadCase, strength: StrengthCase | None) -> Check | None:
    try:
        fails = [c for c in check_pad(smaller).checks if c.verdict is Verdict.FAILS and c.key in BY_SIDE]
    except InputError:
        return None
    if fails:
        return fails[0]
    return _mats(strength, smaller)[1] if strength else None
