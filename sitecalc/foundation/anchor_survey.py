"""Bolts as they stand against the template: moved and turned onto it by least squares, then bolt by bolt."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, worst_first
from sitecalc.foundation.anchor_layout import AnchorLayout, Bolt, bolts
from sitecalc.foundation.anchor_nuts import Tolerance, tolerance
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.inputs import InputError, quantity, require_valid

TOWERS = "tower's drawing"
FIT = "rigid motion of least squares onto the template"

BOLT = Rule("survey", "Bolt on the template", "in", TOWERS, Known.READ)
PAIRS = Rule("survey-pairs", "Distances between bolts of a group", "in", TOWERS, Known.READ)
PLACE = Rule("survey-place", "The group on its place", "in", TOWERS, Known.READ)
PROJECTION = Rule("survey-projection", "Projection of the bolts", "in", TOWERS, Known.READ)


@dataclass(frozen=True, kw_only=True)
class Measured:
    mark: str = quantity("", "bolt mark")
    x_in: float = quantity("in", "east", low=-2_000, high=2_000)
    y_in: float = quantity("in", "north", low=-2_000, high=2_000)
    projection_in: float | None = quantity("in", "above the top of concrete", low=-12, high=60, default=None)


@dataclass(frozen=True, kw_only=True)
class SurveyCase:
    """Coordinates on any square axes; ``on_axes`` if they are the pad's own, from the tower's middle."""

    layout: AnchorLayout = quantity("", "where the bolts should stand")
    measured: tuple[Measured, ...] = quantity("", "where they stand")
    # without the tower's drawing the 1/8 in of the Code of Standard Practice
    tolerance_in: float | None = same_as(FoundationFigures, "template_tolerance_in", default=None)
    on_axes: bool = quantity("", "coordinates are on the pad's axes", default=False)
    position_tolerance_in: float | None = quantity(
        "in", "the whole group off its place on the pad", low=0.05, high=12, default=None
    )
    # not known is not checked
    projection_in: float | None = same_as(FoundationFigures, "projection_in", default=None)
    projection_tolerance_in: float | None = quantity(
        "in", "either way; else 1/2", low=0.03, high=3, default=None
    )


@dataclass(frozen=True, kw_only=True)
class BoltOff:
    """What is left of a bolt's error after the group is moved onto the template; east and north."""

    mark: str
    off_in: float
    east_in: float
    north_in: float
    projection_in: float | None


@dataclass(frozen=True, kw_only=True)
class Survey:
    """``moved`` is how far the whole group stands off, ``turned_deg`` by how much it is turned, clockwise."""

    bolts: tuple[BoltOff, ...]
    moved_east_in: float
    moved_north_in: float
    turned_deg: float
    checks: tuple[Check, ...]


def survey(case: SurveyCase) -> Survey:
    """Every bolt and the group against the template, errors in in.

    What is measured is carried onto the template by a rigid motion of least squares (Kabsch 1976, from
    memory), at least two bolts. A bolt that is not measured is not checked. Tolerances by the tower's
    drawing, else by the table of :func:`sitecalc.foundation.anchor_nuts.tolerance`. InputError for bad marks.
    """
    require_valid(case)
    standing = {b.mark: b for b in bolts(case.layout)}
    seen = _by_mark(case, standing)
    if len(seen) < 2:
        raise InputError("measured", "has fewer than two bolts; a group cannot be fitted.")
    drawn = np.array([[standing[m].x_in, standing[m].y_in] for m in seen])
    stood = np.array([[seen[m].x_in, seen[m].y_in] for m in seen])
    turn, shift = fitted(drawn, stood)
    # errors on the template's own axes: what stands is carried back onto it
    rest = (stood - shift) @ turn - drawn
    off = {
        m: BoltOff(
            mark=m,
            off_in=float(np.hypot(*rest[i])),
            east_in=float(rest[i][0]),
            north_in=float(rest[i][1]),
            projection_in=seen[m].projection_in,
        )
        for i, m in enumerate(seen)
    }
    degrees = -math.degrees(math.atan2(turn[1, 0], turn[0, 0]))
    checks = [
        *_bolt_checks(case, standing, off),
        _pairs(case, standing, seen),
        _place(case, standing, shift, degrees),
        *_projections(case, standing, seen),
    ]
    return Survey(
        bolts=tuple(off.values()),
        moved_east_in=float(shift[0]),
        moved_north_in=float(shift[1]),
        turned_deg=degrees,
        checks=tuple(worst_first(checks)),
    )


def fitted(drawn: Any, stood: Any) -> tuple[Any, Any]:
    """(rotation, shift) with stood close to rotation @ drawn + shift: Kabsch, no mirroring."""
    middle, place = drawn.mean(axis=0), stood.mean(axis=0)
    u, _s, vt = np.linalg.svd((drawn - middle).T @ (stood - place))
    sign = np.sign(np.linalg.det(vt.T @ u.T))
    turn = vt.T @ np.diag([1.0, sign]) @ u.T
    return turn, place - turn @ middle


def _by_mark(case: SurveyCase, standing: dict[str, Bolt]) -> dict[str, Measured]:
    found: dict[str, Measured] = {}
    for index, one in enumerate(case.measured):
        if one.mark not in standing:
            raise InputError(f"measured[{index}].mark", f"{one.mark!r} is no bolt of this layout.")
        if one.mark in found:
            raise InputError(f"measured[{index}].mark", f"{one.mark} is measured twice.")
        found[one.mark] = one
    return found


def _allowed(case: SurveyCase) -> Tolerance:
    """What a bolt may stand off the template, and who says so."""
    if case.tolerance_in is not None:
        return Tolerance(case.tolerance_in, TOWERS, Known.READ)
    found = tolerance("within_group")
    return replace(found, source=f"{found.source}; the tower's drawing may ask for less")


def _bolt_rule(mark: str, allowed: Tolerance) -> Rule:
    return BOLT.stated(
        key=f"survey {mark}",
        title=f"Bolt {mark} on the template",
        source=f"{allowed.source}; {FIT}",
        known=allowed.known,
    )


def _pairs_rule(allowed: Tolerance) -> Rule:
    return PAIRS.stated(source=allowed.source, known=allowed.known)


def _projection_rule(allowed: Tolerance) -> Rule:
    return PROJECTION.stated(source=allowed.source, known=allowed.known)


def _bolt_checks(case: SurveyCase, standing: dict[str, Bolt], off: dict[str, BoltOff]) -> list[Check]:
    allowed = _allowed(case)
    found = []
    for mark in standing:
        rule = _bolt_rule(mark, allowed)
        if mark not in off:
            found.append(rule.open("Not measured."))
            continue
        bolt = off[mark]
        way = f"{abs(bolt.east_in):.3f} {'east' if bolt.east_in >= 0 else 'west'}, "
        way += f"{abs(bolt.north_in):.3f} {'north' if bolt.north_in >= 0 else 'south'}"
        note = f"{bolt.off_in:.3f} of {allowed.tolerance_in:.3g} in, {way}."
        found.append(rule.compare(demand=bolt.off_in, capacity=allowed.tolerance_in, case=mark, note=note))
    return found


def _pairs(case: SurveyCase, standing: dict[str, Bolt], seen: dict[str, Measured]) -> Check:
    """Center to center of any two bolts of a group against the template: no fit needed to see it."""
    allowed = _allowed(case)
    rule, missing = _pairs_rule(allowed), [m for m in standing if m not in seen]
    if missing:
        return rule.open(f"Not measured: {', '.join(missing)}.")
    worst, pair = 0.0, ""
    for a, b in combinations(seen, 2):
        if standing[a].leg == standing[b].leg:
            drawn = math.dist((standing[a].x_in, standing[a].y_in), (standing[b].x_in, standing[b].y_in))
            stood = math.dist((seen[a].x_in, seen[a].y_in), (seen[b].x_in, seen[b].y_in))
            if abs(stood - drawn) > worst:
                worst, pair = abs(stood - drawn), f"{a} to {b}"
    return rule.compare(
        demand=worst,
        capacity=allowed.tolerance_in,
        case=pair,
        note=f"{worst:.3f} of {allowed.tolerance_in:.3g} in{f', {pair}' if pair else ''}.",
    )


def _place(case: SurveyCase, standing: dict[str, Bolt], shift: Any, degrees: float) -> Check:
    """The whole group: how far its farthest bolt is carried off by shift and turn together."""
    if not case.on_axes:
        return PLACE.open("Not measured on the pad's axes.")
    if case.position_tolerance_in is None:
        return PLACE.open("Its tolerance is not given.")
    far = max(b.radius_in for b in standing.values())
    carried = math.hypot(*shift) + 2 * far * abs(math.sin(math.radians(degrees) / 2))
    return PLACE.compare(
        demand=float(carried),
        capacity=case.position_tolerance_in,
        note=f"moved {math.hypot(*shift):.2f} in and turned {abs(degrees):.2f}°: at most {carried:.2f} of "
        f"{case.position_tolerance_in:g} in.",
    )


def _projections(case: SurveyCase, standing: dict[str, Bolt], seen: dict[str, Measured]) -> list[Check]:
    allowed = tolerance("vertical")
    if case.projection_tolerance_in is not None:
        allowed = Tolerance(case.projection_tolerance_in, TOWERS, Known.READ)
    rule = _projection_rule(allowed)
    measured = {m: at for m in standing if m in seen and (at := seen[m].projection_in) is not None}
    missing = [m for m in standing if m not in measured]
    if case.projection_in is None:
        return [rule.open("The drawn projection is not given.")]
    if missing:
        return [rule.open(f"Not measured: {', '.join(missing)}.")]
    wrong = {m: at - case.projection_in for m, at in measured.items()}
    mark = max(wrong, key=lambda m: abs(wrong[m]))
    way = "long" if wrong[mark] >= 0 else "short"
    note = f"{mark} is {abs(wrong[mark]):.2f} in {way}, {allowed.tolerance_in:g} in either way."
    return [rule.compare(demand=abs(wrong[mark]), capacity=allowed.tolerance_in, case=mark, note=note)]
