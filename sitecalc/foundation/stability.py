"""Checks of a rigid pad: bearing, contact, overturning, sliding, buoyancy, frost."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sitecalc.checks import Check, Known, Step, compare, not_checked, readable, worst_first
from sitecalc.foundation.bearing import METHOD
from sitecalc.foundation.frost_and_water import buoyancy, frost
from sitecalc.foundation.pad import (
    BearingCase,
    Bearings,
    Combination,
    PadCase,
    Weights,
    arm_ft,
    bearings,
    combinations,
    from_the,
    require_sound,
    weights,
    wind_factor,
)
from sitecalc.foundation.tables import PRESUMPTIVE, soils
from sitecalc.foundation.words import COMPASS

REPORT = "soil report for this site"
STRESS = "ASCE 7-16, 2.4.1, allowable stress"
ENGINEER = "engineer's rule for this job"
_SAME = 1e-9


@dataclass(frozen=True)
class RosePoint:
    """Greatest corner pressure with the wind from there; None where nothing balances it."""

    wind_from: str
    pressure_psf: float | None


@dataclass(frozen=True)
class PadResult:
    """``governing`` is the bearing case, ``least_contact`` the one with the least of the pad bearing.

    ``lifting`` is the least dead load with the wind of the governing case: what a drawing shows.
    """

    weights: Weights
    checks: tuple[Check, ...]
    rose: tuple[RosePoint, ...] = ()
    governing: BearingCase | None = None
    least_contact: BearingCase | None = None
    lifting: BearingCase | None = None
    allowable_psf: float | None = None


def check_pad(case: PadCase) -> PadResult:
    """Every check of the pad on its ground, worst first. What is not known is not checked."""
    require_sound(case)
    found = weights(case)
    allowable, source = allowable_bearing(case)
    pair = combinations(case)
    if pair is None:
        missing = [
            not_checked(key, title, _loads_missing(case), source=rule, known=Known.MEMORY)
            for key, title, rule in (
                ("bearing", "Bearing", METHOD),
                ("contact", "Contact", ENGINEER),
                ("overturning", "Overturning", STRESS),
                ("sliding", "Sliding", PRESUMPTIVE),
            )
        ]
        checks = [*missing, buoyancy(case, found), frost(case)]
        return PadResult(found, tuple(worst_first(checks)), allowable_psf=allowable)
    found_bearings = bearings(case, pair)
    worst, least = _first_greatest(found_bearings), _first_least(found_bearings)
    checks = [
        _bearing(case, found_bearings, worst, allowable, source),
        _contact(case, least),
        _overturning(case, pair),
        _sliding(case, found_bearings),
        buoyancy(case, found),
        frost(case),
    ]
    ways = len(found_bearings.winds)
    lifting = found_bearings.case(ways + found_bearings.winds.index(worst.wind_from))
    rose = _rose(found_bearings)
    return PadResult(found, tuple(worst_first(checks)), rose, worst, least, lifting, allowable)


def allowable_bearing(case: PadCase) -> tuple[float | None, str]:
    """(psf or None, source): a soil report's value before the presumptive one of the table."""
    if case.report_bearing_psf is not None:
        return case.report_bearing_psf, REPORT
    if case.soil is None:
        return None, PRESUMPTIVE
    values = soils()[case.soil]
    return (
        values.bearing_psf,
        f"{PRESUMPTIVE}, class {values.soil_class}" if values.soil_class else PRESUMPTIVE,
    )


def _first_greatest(found: Bearings) -> BearingCase:
    """The hardest pressed; of equal ones the first, which is nearest the prevailing wind."""
    return _first(found, found.q_max_psf() >= found.q_max_psf().max() * (1 - _SAME))


def _first_least(found: Bearings) -> BearingCase:
    return _first(found, found.fraction() <= found.fraction().min() + _SAME)


def _first(found: Bearings, marked: NDArray[np.bool_]) -> BearingCase:
    """By wind first, then by combination."""
    wind, combination = divmod(int(np.argmax(marked.T)), len(found.pair))
    return found.case(combination * len(found.winds) + wind)


def _rose(found: Bearings) -> tuple[RosePoint, ...]:
    """The 16 points of the compass only."""
    most = found.q_max_psf().max(axis=0)[: len(COMPASS)]
    return tuple(
        RosePoint(wind, float(q) if math.isfinite(q) else None)
        for wind, q in zip(found.winds, most, strict=False)
    )


def _loads_missing(case: PadCase) -> str:
    names = {
        "dead load": case.dead_kip,
        "wind moment": case.moment_kip_ft,
        "wind shear": case.shear_kip,
        "what kind of load they are": case.kind,
    }
    return f"Not given: {', '.join(name for name, value in names.items() if value is None)}."


def _bearing(
    case: PadCase, found: Bearings, worst: BearingCase, allowable: float | None, source: str
) -> Check:
    if worst.contact is None:
        why = f"No pressure balances it: the pad overturns with the wind from {from_the(worst.wind_from)}."
        return not_checked("bearing", "Bearing", why, source=METHOD, known=Known.READ, unit="psf")
    if allowable is None:
        reason = (
            "The soil is not given."
            if case.soil is None
            else "Fill and organic soil have no presumptive value; a soil report must give one."
        )
        why = f"{readable(worst.pressure_psf)} psf, wind from {from_the(worst.wind_from)}. {reason}"
        return not_checked("bearing", "Bearing", why, source=source, known=Known.READ, unit="psf")
    straight = float(found.q_max_psf()[:, found.winds.index("N")].max())
    blows = f"wind from {from_the(worst.wind_from)}, {worst.combination}"
    pressed = f"{readable(worst.pressure_psf)} of {readable(allowable)} psf"
    note = f"{pressed}, {blows}; from N {readable(straight)} psf."
    return compare(
        "bearing",
        "Bearing",
        demand=worst.pressure_psf,
        capacity=allowable,
        unit="psf",
        source=f"{source}; {METHOD}, 16 directions",
        known=Known.READ,
        case=blows,
        note=note,
        steps=(*_load_steps(case, found.pair, worst.combination), *_pressure_steps(case, found.pair, worst)),
    )


def _load_steps(case: PadCase, pair: tuple[Combination, ...], name: str) -> list[Step]:
    c = next(c for c in pair if c.name == name)
    found = weights(case)
    assert case.kind is not None and case.moment_kip_ft is not None and case.shear_kip is not None
    factor = wind_factor(case.kind, case.wind_strength_factor)
    greatest = c is pair[0]
    soil = found.backfill if greatest or case.backfill_placed else 0.0
    dead = found.dead(backfilled=greatest or case.backfill_placed)
    water = 0.0 if greatest else found.uplift
    return [
        Step(
            "Wp",
            "weight of the pad",
            "A t gc",
            f"{case.area_ft2:,.2f} x {case.thickness_ft:g} x {case.concrete_pcf:g} / 1000",
            found.pad,
            "kip",
        ),
        Step(
            "D",
            "dead load",
            "Wp + pedestal + tower and turbine + backfill",
            f"{found.pad:.2f} + {found.pedestal:.2f} + {found.tower:.2f} + {soil:.2f}",
            dead,
            "kip",
        ),
        Step(
            "P",
            "vertical load at the underside",
            "D" if greatest else "0.6 D - U",
            f"{dead:.2f}" if greatest else f"0.6 x {dead:.2f} - {water:.2f}",
            c.vertical_kip,
            "kip",
        ),
        Step(
            "M",
            "moment at the underside",
            "w (M top + H h)",
            f"{factor:g} ({case.moment_kip_ft:g} + {case.shear_kip:g} x {arm_ft(case):g})",
            c.moment_kip_ft,
            "kip-ft",
        ),
    ]


def _pressure_steps(case: PadCase, pair: tuple[Combination, ...], worst: BearingCase) -> list[Step]:
    c = next(c for c in pair if c.name == worst.combination)
    assert worst.contact is not None
    e = c.moment_kip_ft / c.vertical_kip
    mean = c.vertical_kip * 1000 / case.area_ft2
    return [
        Step("e", "eccentricity", "M / P", f"{c.moment_kip_ft:.1f} / {c.vertical_kip:.1f}", e, "ft"),
        Step(
            "P/A",
            "mean pressure",
            "P / A",
            f"{c.vertical_kip * 1000:,.0f} / {case.area_ft2:,.1f}",
            mean,
            "psf",
        ),
        Step(
            "q",
            "greatest pressure",
            "k P / A, k from the contact polygon",
            f"{worst.contact.q_max_psf / mean:.4f} x {mean:,.1f}",
            worst.contact.q_max_psf,
            "psf",
        ),
    ]


def _contact(case: PadCase, least: BearingCase) -> Check:
    required = 100 * case.contact_required
    note = (
        f"{100 * least.fraction:.0f} % of the pad bears, at least {required:.0f} % required; "
        f"{least.wind_from}, {least.combination}."
    )
    return compare(
        "contact",
        "Contact",
        demand=case.contact_required,
        capacity=least.fraction,
        unit="of the pad",
        source=ENGINEER,
        known=Known.PRACTICE,
        case=f"wind from {from_the(least.wind_from)}, {least.combination}",
        note=note,
    )


def _overturning(case: PadCase, pair: tuple[Combination, ...]) -> Check:
    """About the nearest edge: square to a side, of a round pad any way; other winds have a longer lever."""
    c = min(pair, key=lambda c: c.vertical_kip)
    resisting = max(0.0, c.vertical_kip) * case.shorter_ft / 2
    return compare(
        "overturning",
        "Overturning",
        demand=c.moment_kip_ft,
        capacity=resisting,
        unit="kip-ft",
        source=STRESS,
        known=Known.MEMORY,
        case=f"any side, {c.name}",
        note=f"{readable(c.moment_kip_ft)} of {readable(resisting)} kip-ft, any side, {c.name}.",
        steps=(
            *_load_steps(case, pair, c.name),
            Step(
                "Mr",
                "resisting moment about the edge",
                "P B / 2",
                f"{c.vertical_kip:.2f} x {case.shorter_ft:g} / 2",
                resisting,
                "kip-ft",
            ),
        ),
    )


def _sliding(case: PadCase, found: Bearings) -> Check:
    """Friction on the load, or adhesion on the part that bears up to half the dead load; never both."""
    friction, cohesion, source = _grip(case)
    if friction is None and cohesion is None:
        why = (
            "The soil is not given."
            if case.soil is None
            else "No presumptive value for fill and organic soil."
        )
        return not_checked("sliding", "Sliding", why, source=source, known=Known.MEMORY, unit="kip")
    at, c = min(enumerate(found.pair), key=lambda pair: pair[1].vertical_kip)
    vertical = max(0.0, c.vertical_kip)
    if friction is not None:
        holds = friction * vertical
        how = "friction"
        steps = [Step("R", "friction", "mu P", f"{friction:g} x {vertical:.2f}", holds, "kip")]
    else:
        assert cohesion is not None
        bears = float(found.fraction()[at].min()) * case.area_ft2
        adhesion, half = cohesion * bears / 1000, vertical / 2
        holds = min(adhesion, half)
        how = "cohesion on the part that bears" if adhesion <= half else "half the dead load"
        steps = [
            Step(
                "Ra",
                "cohesion on the part that bears",
                "c A",
                f"{cohesion:g} x {bears:.1f} / 1000",
                adhesion,
                "kip",
            ),
            Step(
                "R",
                "at most half the dead load",
                "min(Ra, P / 2)",
                f"min({adhesion:.2f}, {half:.2f})",
                holds,
                "kip",
            ),
        ]
    return compare(
        "sliding",
        "Sliding",
        demand=c.shear_kip,
        capacity=holds,
        unit="kip",
        source=source,
        known=Known.MEMORY,
        case=c.name,
        note=f"{readable(c.shear_kip)} of {readable(holds)} kip, {how}, {c.name}.",
        steps=steps,
    )


def _grip(case: PadCase) -> tuple[float | None, float | None, str]:
    """(friction, cohesion psf, source); a soil report's value before the table's."""
    if case.report_friction is not None:
        return case.report_friction, None, REPORT
    if case.report_cohesion_psf is not None:
        return None, case.report_cohesion_psf, f"{REPORT}; half the dead load by IBC 1806.3.2"
    if case.soil is None:
        return None, None, PRESUMPTIVE
    values = soils()[case.soil]
    source = f"{PRESUMPTIVE}, class {values.soil_class}" if values.soil_class else PRESUMPTIVE
    if values.friction is None and values.cohesion_psf is not None:
        source += "; 1806.3.2"
    return values.friction, values.cohesion_psf, source
