"""Checks of a rigid pad: bearing, contact, overturning, sliding, buoyancy, frost."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sitecalc.checks import Check, Known, Rule, Step, readable, worst_first
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.bearing import METHOD, contact_step
from sitecalc.foundation.frost_and_water import buoyancy, frost
from sitecalc.foundation.loads import service_factor
from sitecalc.foundation.pad import (
    OVERTURNS,
    PAD_WEIGHT,
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
)
from sitecalc.foundation.tables import PRESUMPTIVE, soils
from sitecalc.foundation.words import COMPASS

REPORT = "soil report for this site"
STRESS = "ASCE 7-16, 2.4.1, allowable stress"
ENGINEER = "engineer's rule for this job"
_SAME = 1e-9

BEARING = Rule("bearing", "Bearing", "psf", METHOD, Known.READ)
CONTACT = Rule("contact", "Contact", "of the pad", ENGINEER, Known.PRACTICE)
OVERTURNING = Rule("overturning", "Overturning", "kip-ft", STRESS, Known.SECONDARY)
SLIDING = Rule("sliding", "Sliding", "kip", PRESUMPTIVE, Known.SECONDARY)

DEAD = Formula(
    "D",
    "dead load",
    "Wp + Wc + Wt + Wb",
    "kip",
    {"Wc": "pedestal", "Wt": "tower and turbine", "Wb": "backfill"},
)
GREATEST = Formula("P", "vertical load at the underside", "D", "kip")
LEAST = Formula("P", "vertical load at the underside", "0.6*D - U", "kip")
MOMENT = Formula("M", "moment at the underside", "w*(Mt + H*h)", "kip-ft", {"Mt": "M top"})
ECCENTRICITY = Formula("e", "eccentricity", "M/P", "ft")
MEAN = Formula("P/A", "mean pressure", "1000*P/A", "psf")
RESISTING = Formula("Mr", "resisting moment about the edge", "max(0, P)*B/2", "kip-ft")
FRICTION = Formula("R", "friction", "mu*P", "kip")
ADHESION = Formula("Ra", "cohesion on the part that bears", "c*A/1000", "kip")
BEARING_SIDE = Formula("l", "side of the part that bears, wind along a diagonal", "B - sqrt(2)*e", "ft")
WITH_TORSION = Formula("H'", "shear with torsion", "2*T/l + sqrt(H**2 + (2*T/l)**2)", "kip")
TORSION_RULE = "torsion by Guidelines for Design of Wind Turbines, DNV/Riso, 2nd ed., 8.2"
TORSION_OPEN = (
    "{shear} of {holds} kip, {how}, without torsion. The torsion at the top of the pad is not given; "
    "0 where the tower's maker says that there is none."
)
AS_SQUARE = math.sqrt(math.pi) / 2  # side of the square as large as a circle
HALF = Formula("R", "at most half the dead load", "min(Ra, P/2)", "kip")


@dataclass(frozen=True)
class RosePoint:
    """Greatest pressure with the wind from there; None where nothing balances it."""

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
    """Bearing, contact, overturning, sliding, buoyancy and frost of a rigid pad, worst first.

    What is not known is not checked. Equilibrium on no-tension soil in 16 winds and those that press a
    corner; ASCE 7-16, 2.4.1, IBC table 1806.2 (read in secondary copies). InputError for figures that make no
    pad.
    """
    require_sound(case)
    found = weights(case)
    allowable, source = allowable_bearing(case)
    pair = combinations(case)
    if pair is None:
        why = _loads_missing(case)
        missing = [rule.open(why) for rule in (BEARING, CONTACT, OVERTURNING, SLIDING)]
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


def _bearing_rule(source: str) -> Rule:
    """With where the allowable is from."""
    return BEARING.stated(source=f"{source}; {METHOD}, 16 directions")


def _bearing(
    case: PadCase, found: Bearings, worst: BearingCase, allowable: float | None, source: str
) -> Check:
    rule = _bearing_rule(source)
    if worst.held is None:
        # no number could pass
        return rule.compare(
            demand=1.0,
            capacity=0.0,
            case=f"wind from {from_the(worst.wind_from)}, {worst.combination}",
            note=f"{OVERTURNS.capitalize()}, wind from {from_the(worst.wind_from)}, {worst.combination}.",
        )
    if allowable is None:
        reason = (
            "The soil is not given."
            if case.soil is None
            else "Fill and organic soil have no presumptive value; a soil report must give one."
        )
        return rule.open(
            f"{readable(worst.pressure_psf)} psf, wind from {from_the(worst.wind_from)}. {reason}"
        )
    straight = float(found.q_max_psf()[:, found.winds.index("N")].max())
    blows = f"wind from {from_the(worst.wind_from)}, {worst.combination}"
    pressed = f"{readable(worst.pressure_psf)} of {readable(allowable)} psf"
    return rule.compare(
        demand=worst.pressure_psf,
        capacity=allowable,
        case=blows,
        note=f"{pressed}, {blows}; from N {readable(straight)} psf.",
        steps=(*_load_steps(case, found.pair, worst.combination), *_pressure_steps(case, found.pair, worst)),
    )


def _load_steps(case: PadCase, pair: tuple[Combination, ...], name: str) -> list[Step]:
    c = next(c for c in pair if c.name == name)
    found = weights(case)
    assert case.kind is not None and case.moment_kip_ft is not None and case.shear_kip is not None
    factor = service_factor(case.kind, case.wind_strength_factor)
    greatest = c is pair[0]
    dead = DEAD.step(
        Wp=found.pad,
        Wc=found.pedestal,
        Wt=found.tower,
        Wb=found.backfill if greatest or case.backfill_placed else 0.0,
    )
    return [
        PAD_WEIGHT.step(A=case.area_ft2, t=case.thickness_ft, gc=case.concrete_pcf),
        dead,
        GREATEST.step(D=dead.value) if greatest else LEAST.step(D=dead.value, U=found.uplift),
        MOMENT.step(w=factor, Mt=case.moment_kip_ft, H=case.shear_kip, h=arm_ft(case)),
    ]


def _pressure_steps(case: PadCase, pair: tuple[Combination, ...], worst: BearingCase) -> list[Step]:
    c = next(c for c in pair if c.name == worst.combination)
    assert worst.contact is not None
    mean = MEAN.step(P=c.vertical_kip, A=case.area_ft2)
    most = worst.contact.q_max_psf
    return [
        ECCENTRICITY.step(M=c.moment_kip_ft, P=c.vertical_kip),
        mean,
        contact_step(np.array(worst.contact.corners), worst.contact.plane),
        looked_up(
            "q",
            "greatest pressure",
            "k P / A, k from the contact polygon",
            f"k {most / mean.value:.4f}",
            most,
            "psf",
        ),
    ]


def _contact(case: PadCase, least: BearingCase) -> Check:
    required = case.contact_required_pct
    bears = f"{100 * least.fraction:.0f} % of the pad bears" if least.held else OVERTURNS.capitalize()
    note = f"{bears}, at least {required:.0f} % required; {least.wind_from}, {least.combination}."
    return CONTACT.compare(
        demand=required / 100,
        capacity=least.fraction,
        case=f"wind from {from_the(least.wind_from)}, {least.combination}",
        note=note,
    )


def _overturning(case: PadCase, pair: tuple[Combination, ...]) -> Check:
    """About the nearest edge: square to a side, of a round pad any way; other winds have a longer lever."""
    c = min(pair, key=lambda c: c.vertical_kip)
    resisting = RESISTING.step(P=c.vertical_kip, B=case.shorter_ft)
    return OVERTURNING.compare(
        demand=c.moment_kip_ft,
        capacity=resisting.value,
        case=f"any side, {c.name}",
        note=f"{readable(c.moment_kip_ft)} of {readable(resisting.value)} kip-ft, any side, {c.name}.",
        steps=(*_load_steps(case, pair, c.name), resisting),
    )


def _sliding_rule(source: str) -> Rule:
    """With where friction or cohesion is from."""
    return SLIDING.stated(source=source)


def _sliding(case: PadCase, found: Bearings) -> Check:
    """Friction on the load, or adhesion on the part that bears up to half the dead load; never both."""
    friction, cohesion, source = _grip(case)
    rule = _sliding_rule(source)
    at, c = min(enumerate(found.pair), key=lambda pair: pair[1].vertical_kip)
    vertical = max(0.0, c.vertical_kip)
    steps: list[Step]
    if friction is not None:
        steps, how = [FRICTION.step(mu=friction, P=vertical)], "friction"
    elif cohesion is not None:
        bears = float(found.fraction()[at].min()) * case.area_ft2
        adhesion = ADHESION.step(c=cohesion, A=bears)
        steps = [adhesion, HALF.step(Ra=adhesion.value, P=vertical)]
        whole = adhesion.value <= vertical / 2
        how = "cohesion on the part that bears" if whole else "half the dead load"
    elif case.soil is None:
        return rule.open("The soil is not given.")
    else:
        return rule.open("No presumptive value for fill and organic soil.")
    holds = steps[-1].value
    if case.torsion_kip_ft is None:
        return rule.open(TORSION_OPEN.format(shear=readable(c.shear_kip), holds=readable(holds), how=how))
    demand, turned = c.shear_kip, ""
    if c.torsion_kip_ft:
        side = (AS_SQUARE if case.outline == "circle" else 1.0) * case.shorter_ft
        off = ECCENTRICITY.step(M=c.moment_kip_ft, P=vertical) if vertical else None
        if off is None or side <= math.sqrt(2) * off.value:
            return rule.open("No part of the pad bears along a diagonal that could hold the torsion.")
        length = BEARING_SIDE.step(B=side, e=off.value)
        pushed = WITH_TORSION.step(T=c.torsion_kip_ft, l=length.value, H=c.shear_kip)
        steps = [*steps, off, length, pushed]
        demand, turned = pushed.value, f" with {readable(c.torsion_kip_ft)} kip-ft of torsion"
        rule = _sliding_rule(f"{source}; {TORSION_RULE}")
    return rule.compare(
        demand=demand,
        capacity=holds,
        case=c.name,
        note=f"{readable(demand)} of {readable(holds)} kip{turned}, {how}, {c.name}.",
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
