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
_HALVINGS = 12


@dataclass(frozen=True)
class MarginCase:
    """``strength`` None: the pad on its ground only; else its own pad is not used."""

    pad: PadCase = quantity("", "pad, ground and loads")
    strength: StrengthCase | None = quantity("", "its concrete and steel", default=None)


@dataclass(frozen=True)
class Margin:
    """``limit`` is where the first check fails (``first``), ``now`` where it stands; None: not known or none.

    bearing: allowable, psf; water: highest, ft below grade; wind: factor on moment and shear.
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
    require_valid(case)
    require_sound(case.pad)
    if base_loads(case.pad) is None:
        why = "Loads are not given."
        rows = [
            Margin(what, unit, None, None, None, why)
            for what, unit in (("bearing", "psf"), ("water", "ft"), ("wind", ""))
        ]
        return Margins(tuple(rows))
    return Margins((_bearing(case.pad), _water(case), _wind(case)))


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


def _water(case: MarginCase) -> Margin:
    now = case.pad.water_ft
    if now is None:
        return Margin("water", "ft", None, None, None, "The highest water is not given.")

    def raised(share: float) -> tuple[Check, ...]:
        return _checks(case, replace(case.pad, water_ft=now * (1 - share)))

    failing = _failing(raised(0.0))
    if failing:
        return Margin("water", "ft", now, None, failing.title, f"Fails already: {failing.title.lower()}.")
    failing = _failing(raised(1.0))
    if failing is None:
        return Margin("water", "ft", now, 0.0, None, "Water may stand at grade.")
    share, first = _edge(raised, 0.0, 1.0, failing)
    limit = now * (1 - share)
    note = f"Water may rise to {readable(limit)} ft below grade; then {first.title.lower()} fails."
    return Margin("water", "ft", now, limit, first.title, note)


def _wind(case: MarginCase) -> Margin:
    moment, shear = case.pad.moment_kip_ft or 0.0, case.pad.shear_kip or 0.0
    if moment == shear == 0:
        return Margin("wind", "", 1.0, None, None, "There is no wind on it.")

    def blown(factor: float) -> tuple[Check, ...]:
        return _checks(case, replace(case.pad, moment_kip_ft=factor * moment, shear_kip=factor * shear))

    failing = _failing(blown(1.0))
    if failing is not None:
        still = _failing(blown(0.0))
        if still is not None:
            return Margin("wind", "", 1.0, None, still.title, f"{still.title} fails without any wind.")
        factor, first = _edge(blown, 0.0, 1.0, failing)
        note = f"Holds {readable(factor)} of this wind; then {first.title.lower()} fails."
        return Margin("wind", "", 1.0, factor, first.title, note)
    failing = _failing(blown(STRONGEST))
    if failing is None:
        note = f"{STRONGEST:g} times this wind still passes; no further was looked."
        return Margin("wind", "", 1.0, STRONGEST, None, note)
    factor, first = _edge(blown, 1.0, STRONGEST, failing)
    note = f"The wind's loads may grow by {100 * (factor - 1):.0f} %; then {first.title.lower()} fails."
    return Margin("wind", "", 1.0, factor, first.title, note)


def _edge(
    checks_at: Callable[[float], tuple[Check, ...]], passes: float, fails: float, failing: Check
) -> tuple[float, Check]:
    """By halving: the last place that passes, and what fails just past it."""
    for _ in range(_HALVINGS):
        middle = (passes + fails) / 2
        found = _failing(checks_at(middle))
        if found is None:
            passes = middle
        else:
            fails, failing = middle, found
    return passes, failing


def _checks(case: MarginCase, pad: PadCase) -> tuple[Check, ...]:
    found = check_pad(pad).checks
    if case.strength is None:
        return found
    try:
        return (*found, *check_strength(replace(case.strength, pad=pad)).checks)
    except InputError as error:
        raise InputError(f"strength.{error.field}", error.message) from error


def _failing(checks: tuple[Check, ...]) -> Check | None:
    """What fails; else what no longer can be checked because nothing balances the loads."""
    fails = [c for c in checks if c.verdict is Verdict.FAILS]
    if fails:
        return max(fails, key=lambda c: c.ratio or 0.0)
    return next((c for c in checks if c.key in MUST_PASS and c.verdict is Verdict.NOT_CHECKED), None)
