"""How far a pad is from its first failing check: softer ground, higher water, stronger wind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from sitecalc.checks import Check, Verdict, readable
from sitecalc.foundation.mat_search import MUST_PASS
from sitecalc.foundation.pad import PadCase, base_loads, require_sound
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.stability import allowable_bearing, check_pad
from sitecalc.foundation.strength_case import StrengthCase
from sitecalc.inputs import InputError, quantity, require_valid

STRONGEST = 4.0  # times the wind; looked no further
_CLOSE = 1 / 4096  # of where it was looked


Checks = tuple[Check, ...]


@dataclass(frozen=True)
class MarginCase:
    """``strength`` None: the pad on its ground only; else its own pad is not used."""

    pad: PadCase = quantity("", "pad, ground and loads")
    strength: StrengthCase | None = quantity("", "its concrete and steel", default=None)


@dataclass(frozen=True)
class Margin:
    """``limit`` is where the first check fails (``first``), ``now`` where it stands; None: not known or none.

    bearing: allowable, psf; water: highest, ft below grade; wind: factor on moment, shear and torsion.
    """

    what: str
    unit: str
    now: float | None
    limit: float | None
    first: str | None
    note: str


@dataclass(frozen=True)
class Margins:
    rows: tuple[Margin, ...]


def margins(case: MarginCase) -> Margins:
    """How soft the ground (psf), how high the water (ft below grade), how strong the wind (times) may be.

    The first check that fails is closed in on to 1/4096 of where it was looked; the wind up to 4 times.
    The checks are those of :func:`sitecalc.foundation.stability.check_pad`.
    """
    require_valid(case)
    require_sound(case.pad)
    if base_loads(case.pad) is None:
        why = "Loads are not given."
        rows = [
            Margin(what, unit, None, None, None, why)
            for what, unit in (("bearing", "psf"), ("water", "ft"), ("wind", ""))
        ]
        return Margins(tuple(rows))
    now = _checks(case, case.pad)
    open_ = [c.title.lower() for c in now if c.verdict is Verdict.NOT_CHECKED and c.key not in MUST_PASS]
    left_out = f" Not in it, for it is not checked: {', '.join(dict.fromkeys(open_))}." if open_ else ""
    hang_on_all = (_water(case, now), _wind(case, now))
    said = (m if m.limit is None else replace(m, note=m.note + left_out) for m in hang_on_all)
    return Margins((_bearing(case.pad), *said))


def _bearing(pad: PadCase) -> Margin:
    """Nothing but the bearing hangs on the allowable: it may fall to the pressure there is."""
    allowable, _source = allowable_bearing(pad)
    result = check_pad(pad)
    pressed = result.governing.pressure_psf if result.governing else float("inf")
    if allowable is None:
        return Margin("bearing", "psf", None, None, None, "No allowable bearing is given.")
    if pressed == float("inf"):
        return Margin("bearing", "psf", allowable, None, "Overturning", "No pressure balances the loads.")
    if pressed > allowable * (1 + 1e-9):
        note = f"Fails already: {readable(pressed)} of {readable(allowable)} psf."
    else:
        note = (
            f"The ground may be softer down to {readable(pressed)} psf; it is taken as {readable(allowable)}."
        )
    return Margin("bearing", "psf", allowable, pressed, "Bearing", note)


def _water(case: MarginCase, as_it_is: Checks) -> Margin:
    now = case.pad.water_ft
    if now is None:
        return Margin("water", "ft", None, None, None, "The highest water is not given.")

    def raised(share: float) -> PadCase:
        return replace(case.pad, water_ft=now * (1 - share))

    failing = _failing(as_it_is)
    if failing:
        return Margin("water", "ft", now, None, failing.title, f"Fails already: {failing.title.lower()}.")
    at_grade = _checks(case, raised(1.0))
    if _failing(at_grade) is None:
        return Margin("water", "ft", now, 0.0, None, "Water may stand at grade.")
    share, first = _limit(case, raised, (0.0, as_it_is), (1.0, at_grade))
    limit = now * (1 - share)
    title, then = _said(first)
    note = f"With water above {readable(limit)} ft below grade, {then}."
    return Margin("water", "ft", now, limit, title, note)


def _wind(case: MarginCase, as_it_is: Checks) -> Margin:
    moment, shear, torsion = case.pad.moment_kip_ft, case.pad.shear_kip, case.pad.torsion_kip_ft
    assert moment is not None and shear is not None  # or there were no loads
    if moment == shear == 0 and not torsion:
        return Margin("wind", "", 1.0, None, None, "There is no wind on it.")

    def blown(factor: float) -> PadCase:
        turned = None if torsion is None else factor * torsion
        return replace(
            case.pad, moment_kip_ft=factor * moment, shear_kip=factor * shear, torsion_kip_ft=turned
        )

    if _failing(as_it_is) is not None:
        calm = _checks(case, blown(0.0))
        still = _failing(calm)
        if still is not None:
            return Margin("wind", "", 1.0, None, still.title, f"{still.title} fails at any wind.")
        factor, first = _limit(case, blown, (0.0, calm), (1.0, as_it_is))
        title, then = _said(first)
        note = f"Holds {readable(factor)} of this wind; then {then}."
        return Margin("wind", "", 1.0, factor, title, note)
    strongest = _checks(case, blown(STRONGEST))
    if _failing(strongest) is None:
        note = f"{STRONGEST:g} times this wind still passes; no further was looked."
        return Margin("wind", "", 1.0, STRONGEST, None, note)
    factor, first = _limit(case, blown, (1.0, as_it_is), (STRONGEST, strongest))
    title, then = _said(first)
    note = f"The wind's loads may grow by {100 * (factor - 1):.0f} %; then {then}."
    return Margin("wind", "", 1.0, factor, title, note)


def _said(first: Check) -> tuple[str, str]:
    """(what fails first, in a sentence); strength that can no longer be checked has no soil under it."""
    if first.verdict is Verdict.FAILS:
        return first.title, f"{first.title.lower()} fails"
    return "Balance", "no soil pressure balances the factored loads"


End = tuple[float, Checks]


def _limit(
    case: MarginCase, pad_at: Callable[[float], PadCase], passes: End, fails: End
) -> tuple[float, Check]:
    """The last place that passes, and what fails just past it.

    The ground first, which is quickly judged; concrete and steel then seldom leave anything to look for.
    """
    close = _CLOSE * (fails[0] - passes[0])
    low, high = passes, fails
    if _failing(check_pad(pad_at(fails[0])).checks) is not None:
        on_ground, high = _edge(lambda at: check_pad(pad_at(at)).checks, passes, fails, close)
        whole = _checks(case, pad_at(on_ground[0]))
        if _failing(whole) is None:
            low = on_ground
        else:
            high = (on_ground[0], whole)
    low, high = _edge(lambda at: _checks(case, pad_at(at)), low, high, close)
    failing = _failing(high[1])
    assert failing is not None
    return low[0], failing


def _edge(checks_at: Callable[[float], Checks], passes: End, fails: End, close: float) -> tuple[End, End]:
    """Both ends ``close`` together.

    Each check that fails is followed to where it crosses its limit, by the line through its two ends; aimed a
    little past it, farther each time it falls short, so that both ends close in. Where that does not halve
    what is left, halving does.
    """
    low, high = passes, fails
    past, halving = close / 2, False
    while (left := high[0] - low[0]) > close:
        at = (low[0] + high[0]) / 2 if halving else _crossing(low, high) + past
        at = min(max(at, low[0] + close / 4), high[0] - close / 4)
        found = checks_at(at)
        if _failing(found) is None:
            low, past = (at, found), max(close / 2, 4 * past)
        else:
            high, past = (at, found), min(-close / 2, 4 * past)
        halving = not halving and high[0] - low[0] > left / 2
    return low, high


def _crossing(passes: End, fails: End) -> float:
    """Where the first of the checks that fail would cross its limit."""
    before = {c.key: c.ratio or 0.0 for c in passes[1]}
    found = []
    for check in fails[1]:
        if not check.needs_answer or check.key not in before:
            continue
        low, high = before[check.key], check.ratio
        if low > 1:
            continue
        if high is not None and low < 0.25:
            share = (1 - low) / (high - low)
        else:  # what grows without bound, as a pressure does, has an inverse that falls evenly
            share = (1 / low - 1) / (1 / low - (1 / high if high else 0.0)) if low > 0 else 0.5
        if 0 <= share <= 1:
            found.append(passes[0] + share * (fails[0] - passes[0]))
    return min(found, default=(passes[0] + fails[0]) / 2)


def _checks(case: MarginCase, pad: PadCase) -> Checks:
    """Of the ground, and, where it holds, of concrete and steel."""
    found = check_pad(pad).checks
    if case.strength is None or _failing(found) is not None:
        return found
    try:
        return (*found, *check_strength(replace(case.strength, pad=pad)).checks)
    except InputError as error:
        raise InputError(f"strength.{error.field}", error.message) from error


def _failing(checks: Checks) -> Check | None:
    """What fails; else what no longer can be checked because nothing balances the loads."""
    fails = [c for c in checks if c.verdict is Verdict.FAILS]
    if fails:
        return max(fails, key=lambda c: c.ratio or 0.0)
    return next((c for c in checks if c.key in MUST_PASS and c.verdict is Verdict.NOT_CHECKED), None)
