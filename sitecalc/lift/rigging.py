"""Two-leg slings: tension in each leg against what its tag says, and shackles.

Angles from the horizontal. Capacity is always the identification tag's; no sling table is built in (29 CFR
1926.251: loads only by the tag, an untagged sling is not used).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import LiftFigures

STATICS = "Plane statics, hook plumb over the center of gravity"
TAGS = "29 CFR 1926.251 (76 FR 33590, 2011): by the identification tag only"
DYNAMIC = "dynamic factor GL Noble Denton 0027/ND rev 11, table 5-1"
LEAST_ANGLE_DEG = 30.0
LEAST_ANGLE = "ASME B30.9: no sling leg under 30 degrees from the horizontal"
SIDE_LOAD = (
    "Shackle maker's side-load table: full to 0, 70 % to 45, 50 % to 90 degrees; bow at most 120 degrees"
)

SLING_ANGLE = Rule("sling-angle", "Sling angle", "deg", LEAST_ANGLE, Known.MEMORY)
LEGS = {
    name: Rule(f"sling-{name}", f"Sling, {name} leg", "lb", f"{STATICS}; {TAGS}; {DYNAMIC}", Known.READ)
    for name in ("near", "far")
}
SHACKLES = Rule("shackles", "Shackles", "lb", SIDE_LOAD, Known.READ)

# What a choker keeps of its rating by the angle of choke in degrees: ASME B30.9, as two sling makers print it
# (Uline S-17880, Lone Star Rigging; both read)
CHOKED = ((120.0, 1.0), (90.0, 0.87), (60.0, 0.74), (30.0, 0.62), (0.0, 0.49))
CHOKE = "choker by the angle of choke ASME B30.9"
# where a tag says nothing of a choker: what is usual, to be said and never to pass by (from memory)
USUAL_CHOKER = 0.8
Hitch = Literal["vertical", "choker", "basket"]

CHOKER_LEFT = Formula("Rc", "choker rating that is left at that angle", "f*rating", "lb")
TENSION = Formula("T", "tension in the leg", "k*W*D2*S/(H*(D+D2))", "lb", {"D2": "D'"})
HALF = Formula("T", "tension in the leg", "k*W/2", "lb")
INWARD = Formula("N", "push inward between the pick points", "T*cos(th)", "lb")
LEFT = Formula("R", "rating that is left", "f*rating", "lb")


@dataclass(frozen=True, kw_only=True)
class SlingCase:
    """Two legs from the hook to the load; the two pick points are level with one another."""

    # the tower's sections or the machine may say the weight, in a range of their own
    weight_lb: float = same_as(LiftFigures, "weight_lb", required=True, low=0, high=1_000_000)
    near_ft: float = same_as(LiftFigures, "near_ft", required=True)
    far_ft: float = same_as(LiftFigures, "far_ft", required=True)
    height_ft: float = same_as(LiftFigures, "rigging_ft", required=True)
    near_sling_ft: float | None = quantity(
        "ft", "length of the near leg", low=0.1, high=300, default=None, shown_at="near_sling"
    )
    far_sling_ft: float | None = quantity(
        "ft", "length of the far leg", low=0.1, high=300, default=None, shown_at="far_sling"
    )
    near_rating_lb: float | None = quantity(
        "lb", "near leg's tag, in the hitch used", low=0, high=1_000_000, default=None, shown_at="near_sling"
    )
    far_rating_lb: float | None = quantity(
        "lb", "far leg's tag, in the hitch used", low=0, high=1_000_000, default=None, shown_at="far_sling"
    )
    near_hitch: Hitch | None = same_as(LiftFigures, "near_hitch")
    far_hitch: Hitch | None = same_as(LiftFigures, "far_hitch")
    # what the tags say for a vertical leg: the usual choker rating is a part of it
    near_vertical_lb: float | None = quantity(
        "lb", "near leg's tag, vertical", low=0, high=1_000_000, default=None, shown_at="near_sling"
    )
    far_vertical_lb: float | None = quantity(
        "lb", "far leg's tag, vertical", low=0, high=1_000_000, default=None, shown_at="far_sling"
    )
    choke_deg: float | None = same_as(LiftFigures, "choke_deg")
    shackle_rating_lb: float | None = quantity(
        "lb", "rating on each shackle", low=0, high=1_000_000, default=None, shown_at="shackle"
    )
    shackle_side_deg: float = same_as(LiftFigures, "shackle_side_deg")
    dynamic_factor: float = same_as(LiftFigures, "dynamic_factor")


@dataclass(frozen=True, kw_only=True)
class Leg:
    name: str
    length_ft: float
    angle_deg: float
    tension_lb: float


@dataclass(frozen=True)
class SlingResult:
    near: Leg
    far: Leg
    inward_lb: float
    checks: tuple[Check, ...]

    @property
    def heavier(self) -> Leg:
        return max(self.near, self.far, key=lambda leg: leg.tension_lb)


def two_leg_slings(case: SlingCase) -> SlingResult:
    """Tension in lb of two legs from the hook to pick points level with one another, lengths in ft.

    T = k W D' S / (H (D + D')), D' of the other leg; k the dynamic factor. Hook plumb over the center of
    gravity, legs at 30 degrees or more from the horizontal. Plane statics; capacity by the tags only (29 CFR
    1926.251); dynamic factor GL Noble Denton 0027/ND. InputError for lengths that do not close.
    """
    require_valid(case)
    near, far = _leg(case, "near"), _leg(case, "far")
    for leg, given, hitch in (
        (near, case.near_sling_ft, case.near_hitch),
        (far, case.far_sling_ft, case.far_hitch),
    ):
        _require_closing(leg, given, hitch)
    inward = INWARD.value(T=near.tension_lb, th=near.angle_deg)
    checks = (
        _angle_check(near, far),
        _leg_check(case, near, case.near_rating_lb, case.near_hitch, case.near_vertical_lb),
        _leg_check(case, far, case.far_rating_lb, case.far_hitch, case.far_vertical_lb),
        _shackle_check(case, near, far),
    )
    return SlingResult(near, far, inward, checks)


def _leg(case: SlingCase, name: str) -> Leg:
    out = case.near_ft if name == "near" else case.far_ft
    length = math.hypot(out, case.height_ft)
    angle = math.degrees(math.atan2(case.height_ft, out))
    return Leg(name=name, length_ft=length, angle_deg=angle, tension_lb=_tension(case, name, length).value)


def _tension(case: SlingCase, name: str, length_ft: float) -> Step:
    out, other = (case.near_ft, case.far_ft) if name == "near" else (case.far_ft, case.near_ft)
    k, weight = case.dynamic_factor, case.weight_lb
    if out + other == 0:
        return HALF.step(k=k, W=weight)
    return TENSION.step(k=k, W=weight, D2=other, S=length_ft, H=case.height_ft, D=out)


def _require_closing(leg: Leg, given_ft: float | None, hitch: str | None) -> None:
    """A leg's length follows from pick point and hook height; a slack or short leg is another lift.

    A choker gives some of its sling to the wrap, a basket goes up twice: neither is longer than its sling.
    """
    field = f"{leg.name}_sling_ft"
    close = max(0.02 * leg.length_ft, 0.05)
    if given_ft is not None and hitch in ("choker", "basket"):
        most = given_ft if hitch == "choker" else given_ft / 2
        if leg.length_ft > most + close:
            raise InputError(
                field,
                f"reaches {most:g} ft as a {hitch}, but from the hook to that pick point it is "
                f"{leg.length_ft:.2f} ft.",
            )
    elif given_ft is not None and abs(given_ft - leg.length_ft) > close:
        raise InputError(
            field,
            f"is {given_ft:g} ft, but from the hook to that pick point it is {leg.length_ft:.2f} ft.",
        )
    if leg.angle_deg < LEAST_ANGLE_DEG - 1e-9:
        raise InputError(
            "height_ft",
            f"puts the {leg.name} leg at {leg.angle_deg:.0f} degrees from the horizontal; at least 30.",
        )


def _angle_check(near: Leg, far: Leg) -> Check:
    flattest = min(near, far, key=lambda leg: leg.angle_deg)
    return SLING_ANGLE.compare(
        demand=LEAST_ANGLE_DEG,
        capacity=flattest.angle_deg,
        note=f"{flattest.angle_deg:.0f} degrees from the horizontal, at least 30.",
    )


def choke_factor(angle_deg: float) -> float:
    """Part of its choker rating (no unit) a sling keeps at an angle of choke in degrees.

    Full from 120 degrees, 0.87 from 90, 0.74 from 60, 0.62 from 30, 0.49 under it. ASME B30.9
    (read in sling makers' sheets).
    """
    return next((factor for least, factor in CHOKED if angle_deg >= least), CHOKED[-1][1])


def _leg_rule(name: str, hitch: str | None) -> Rule:
    """A leg's tag; that of a choker by the angle of choke, too."""
    rule = LEGS[name]
    return rule.stated(source=f"{rule.source}; {CHOKE}") if hitch == "choker" else rule


def _leg_check(
    case: SlingCase, leg: Leg, rating_lb: float | None, hitch: str | None, vertical_lb: float | None
) -> Check:
    rule = _leg_rule(leg.name, hitch)
    if hitch is None:
        return rule.open(f"Nobody said how the {leg.name} leg is hitched: vertical, choker or basket.")
    if rating_lb is None and hitch == "choker" and vertical_lb is not None:
        return _usual_choker(rule, case, leg, vertical_lb)
    if rating_lb is None:
        what = "" if hitch == "vertical" else f" for a {hitch}"
        return rule.open(
            f"No rating{what} is on record from the {leg.name} leg's tag. An untagged sling is not used."
        )
    if hitch == "choker" and case.choke_deg is None:
        return rule.open(
            f"The angle of choke is not given: under 120 degrees the {leg.name} leg carries less."
        )
    capacity = rating_lb
    steps: tuple[Step, ...] = (_tension(case, leg.name, leg.length_ft),)
    if hitch == "choker" and case.choke_deg is not None:
        left = CHOKER_LEFT.step(f=choke_factor(case.choke_deg), rating=rating_lb)
        capacity, steps = left.value, (*steps, left)
    how = f"{hitch}, {case.choke_deg:g} degrees of choke" if hitch == "choker" else hitch
    return rule.compare(
        demand=leg.tension_lb,
        capacity=capacity,
        note=f"{leg.tension_lb:,.0f} of {capacity:,.0f} lb by the tag ({how}), "
        f"at {leg.angle_deg:.0f} degrees.",
        steps=steps,
    )


def _usual_choker(rule: Rule, case: SlingCase, leg: Leg, vertical_lb: float) -> Check:
    """The tag says nothing of a choker: what is usual is said; by that it may fail, never pass."""
    factor = 1.0 if case.choke_deg is None else choke_factor(case.choke_deg)
    usual = USUAL_CHOKER * factor * vertical_lb
    said = (
        f"No choker rating is on record from the {leg.name} leg's tag. Usual would be {usual:,.0f} lb "
        f"({USUAL_CHOKER:g} of vertical{f', {factor:g} for its angle' if factor < 1 else ''}, "
        "clause not verified)"
    )
    if leg.tension_lb > usual:
        return rule.compare(
            demand=leg.tension_lb, capacity=usual, note=f"{said}, and {leg.tension_lb:,.0f} lb hang on it."
        )
    return rule.open(f"{said}: read the tag.")


def shackle_factor(side_deg: float) -> float:
    """Part of its rating (no unit) a shackle keeps when pulled off its line by an angle in degrees.

    Full to 0, 70 % to 45, 50 % to 90 degrees: the next larger listed angle counts. Shackle maker's side-load
    table.
    """
    for listed, factor in ((0.0, 1.0), (45.0, 0.70), (90.0, 0.50)):
        if side_deg <= listed:
            return factor
    raise InputError("shackle_side_deg", "is more than 90 degrees.")


def _shackle_check(case: SlingCase, near: Leg, far: Leg) -> Check:
    """Legs at 30 degrees or more are at most 120 degrees apart, the most a bow shackle takes."""
    if case.shackle_rating_lb is None:
        return SHACKLES.open("No shackle rating is given.")
    leg = max(near, far, key=lambda leg: leg.tension_lb)
    left = LEFT.step(f=shackle_factor(case.shackle_side_deg), rating=case.shackle_rating_lb)
    between = 180 - near.angle_deg - far.angle_deg
    return SHACKLES.compare(
        demand=leg.tension_lb,
        capacity=left.value,
        note=f"{leg.tension_lb:,.0f} of {left.value:,.0f} lb, {between:.0f} degrees between the legs.",
        steps=(left,),
    )
