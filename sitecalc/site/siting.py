"""Where the tower may stand: setback by the ordinance, obstacles in the wind, overhead lines.

Ordinances differ in what height they multiply, by how much, and to which line they measure; so each is stated
here and nothing is assumed for a rule that was not given. Distances are from the center of the tower's base.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.inputs import quantity, require_valid
from sitecalc.site.figures import SiteFigures
from sitecalc.site.obstacles import BOTTOM, ObstacleRule, Thing, feet_text, obstacle_check
from sitecalc.site.words import Datum, Kind

SIDES = ("north", "east", "south", "west")

NO_RULE = "local zoning ordinance"
LINE_MULTIPLE = 1.1  # of the height to the blade tip, where the ordinance says nothing
LINE_RULE = "the tower's fall must not reach a line: 1.1 times the height to the blade tip"

PROPERTY = Rule("setback-property", "Setback to property lines", "ft", NO_RULE, Known.PRACTICE)
DWELLING = Rule("setback-dwelling", "Setback to dwellings", "ft", NO_RULE, Known.PRACTICE)
ROAD = Rule("setback-road", "Setback to roads", "ft", NO_RULE, Known.PRACTICE)
LINES = Rule("overhead-line", "Overhead lines", "ft", LINE_RULE, Known.PRACTICE)

TIP = Formula("h", "top of the blade's sweep above grade", "h_hub+D/2", "ft")
REQUIRED = Formula("R", "distance required", "m*h", "ft")
FREE = Formula("free", "distance that counts", "d-half", "ft", {"half": "half base"})


@dataclass(frozen=True, kw_only=True)
class SetbackRule:
    """What the ordinance multiplies and by how much; a multiple that is not given is not checked."""

    datum: Datum = same_as(SiteFigures, "datum")
    property_multiple: float | None = same_as(SiteFigures, "property_multiple")
    dwelling_multiple: float | None = same_as(SiteFigures, "dwelling_multiple")
    road_multiple: float | None = same_as(SiteFigures, "road_multiple")
    line_multiple: float | None = same_as(SiteFigures, "line_multiple")
    base_half_ft: float = same_as(SiteFigures, "base_half_ft")
    source: str = same_as(SiteFigures, "ordinance")


@dataclass(frozen=True, kw_only=True)
class SitingCase:
    """Tower, lot, neighbors. ``none_within_ft``: walked and looked at, no overhead line nearer."""

    hub_ft: float = quantity("ft", "hub above grade", low=15, high=300)
    diameter_ft: float = quantity("ft", "rotor diameter", low=3, high=100)
    rule: SetbackRule = quantity("", "setback rule", default=SetbackRule())
    north_ft: float | None = same_as(SiteFigures, "north_ft")
    east_ft: float | None = same_as(SiteFigures, "east_ft")
    south_ft: float | None = same_as(SiteFigures, "south_ft")
    west_ft: float | None = same_as(SiteFigures, "west_ft")
    things: tuple[Thing, ...] = quantity("", "what stands near", default=())
    surveyed_ft: float | None = same_as(SiteFigures, "surveyed_ft")
    no_line_within_ft: float | None = same_as(SiteFigures, "no_line_within_ft")
    obstacles: ObstacleRule = quantity("", "clearance over obstacles in the wind", default=ObstacleRule())


@dataclass(frozen=True, kw_only=True)
class Siting:
    """``required_ft`` is the setback to property lines, None where the rule gives none."""

    tip_ft: float
    blade_bottom_ft: float
    required_ft: float | None
    line_required_ft: float
    checks: tuple[Check, ...]


def tip_height_ft(hub_ft: float, diameter_ft: float) -> float:
    """Top of the blade's sweep above grade in ft, from hub height and rotor diameter in ft: h_hub + D / 2."""
    return TIP.value(h_hub=hub_ft, D=diameter_ft)


def siting(case: SitingCase) -> Siting:
    """Setbacks, overhead lines and obstacles, all in ft. What was not given is not checked.

    A multiple of the height to tip or hub, as the ordinance says, at most the distance from the center or
    edge of the base. Local zoning ordinance; overhead lines without one 1.1 times the tip, common practice.
    """
    require_valid(case)
    rule, height = case.rule, _rule_height(case)
    required = None if rule.property_multiple is None else _required(height, rule.property_multiple)
    line_multiple, _datum, line_height = _line_height(case)
    return Siting(
        tip_ft=tip_height_ft(case.hub_ft, case.diameter_ft),
        blade_bottom_ft=BOTTOM.value(h_hub=case.hub_ft, D=case.diameter_ft),
        required_ft=required,
        line_required_ft=_required(line_height, line_multiple),
        checks=(
            _property_check(case, height),
            _things_check(case, height, "dwelling", rule.dwelling_multiple, DWELLING),
            _things_check(case, height, "road", rule.road_multiple, ROAD),
            _line_check(case),
            obstacle_check(
                case.things,
                hub_ft=case.hub_ft,
                diameter_ft=case.diameter_ft,
                rule=case.obstacles,
                surveyed_ft=case.surveyed_ft,
            ),
        ),
    )


def _rule_height(case: SitingCase) -> float:
    return case.hub_ft if case.rule.datum == "hub" else tip_height_ft(case.hub_ft, case.diameter_ft)


def _by_ordinance(rule: Rule, ordinance: SetbackRule) -> Rule:
    """A setback as the ordinance has it; without one it is plain practice."""
    return rule.stated(source=ordinance.source, known=Known.READ) if ordinance.source else rule


def _required(height: float, multiple: float) -> float:
    return REQUIRED.value(m=multiple, h=height)


def _required_step(datum: Datum, height: float, multiple: float) -> Step:
    return REQUIRED.step_of(f"required from the height to the {datum}", m=multiple, h=height)


def _property_check(case: SitingCase, height: float) -> Check:
    ordinance = case.rule
    rule = _by_ordinance(PROPERTY, ordinance)
    if ordinance.property_multiple is None:
        return rule.open("The ordinance's multiple is not given.")
    sides = {side: getattr(case, f"{side}_ft") for side in SIDES}
    measured = {side: d for side, d in sides.items() if d is not None}
    missing = [side for side, d in sides.items() if d is None]
    required = _required(height, ordinance.property_multiple)
    nearest = min(measured, key=lambda side: measured[side], default="")
    # a side that is too near fails whatever the missing ones are
    if missing and not (measured and measured[nearest] - ordinance.base_half_ft < required):
        return rule.open(f"Distance to the line {' and '.join(missing)} is not given.")
    return _kept(case, rule, height, ordinance.property_multiple, measured[nearest], f"line {nearest}")


def _kept(case: SitingCase, rule: Rule, height: float, multiple: float, distance: float, to: str) -> Check:
    ordinance = case.rule
    required = _required_step(ordinance.datum, height, multiple)
    free = FREE.step(d=distance, half=ordinance.base_half_ft)
    edge = " from the base's edge" if ordinance.base_half_ft else ""
    return rule.compare(
        demand=required.value,
        capacity=free.value,
        note=f"{feet_text(free.value)} ft{edge} to the {to}, {feet_text(required.value)} ft required: "
        f"{multiple:g} times {feet_text(height)} ft to the {ordinance.datum}.",
        case=to,
        steps=(required, free) if ordinance.base_half_ft else (required,),
    )


def _things_check(case: SitingCase, height: float, kind: Kind, multiple: float | None, asked: Rule) -> Check:
    """The nearest one of its kind; dwellings of the owner do not count as a neighbor's."""
    rule = _by_ordinance(asked, case.rule)
    if multiple is None:
        return rule.open("The ordinance's multiple is not given; put 0 where it has none.")
    near = [t for t in case.things if t.kind == kind and not (kind == "dwelling" and t.ours)]
    required = _required(height, multiple)
    first = min(near, key=lambda t: t.distance_ft, default=None)
    if first is not None and first.distance_ft - case.rule.base_half_ft < required:
        return _kept(case, rule, height, multiple, first.distance_ft, first.name)
    if required > 0 and (case.surveyed_ft is None or case.surveyed_ft < required):
        return rule.open(f"The list is not known to be complete to {feet_text(required)} ft.")
    if first is None:
        reach = max(case.surveyed_ft or 0.0, required)
        none = "no neighbor's dwelling" if kind == "dwelling" else f"no {kind}"
        return _kept(case, rule, height, multiple, reach, f"edge of the survey, {none} in it")
    return _kept(case, rule, height, multiple, first.distance_ft, first.name)


def _line_height(case: SitingCase) -> tuple[float, Datum, float]:
    """(multiple, datum, height) for overhead lines: the ordinance's, else our own."""
    if case.rule.line_multiple is None:
        return LINE_MULTIPLE, "blade tip", tip_height_ft(case.hub_ft, case.diameter_ft)
    return case.rule.line_multiple, case.rule.datum, _rule_height(case)


def _line_rule(ordinance: SetbackRule) -> Rule:
    """Our own distance to overhead lines, or the ordinance's where it has one."""
    if ordinance.line_multiple is None:
        return LINES
    known = Known.READ if ordinance.source else Known.PRACTICE
    return LINES.stated(source=ordinance.source or NO_RULE, known=known)


def _line_check(case: SitingCase) -> Check:
    """A tower that falls must not reach a line."""
    rule = _line_rule(case.rule)
    multiple, datum, height = _line_height(case)
    required = _required_step(datum, height, multiple)
    lines = [t for t in case.things if t.kind == "overhead line"]
    nearest = min(lines, key=lambda t: t.distance_ft, default=None)
    if nearest is not None:
        distance, said = nearest.distance_ft, nearest.name
    elif case.no_line_within_ft is not None:
        distance, said = case.no_line_within_ft, "none seen within"
    else:
        return rule.open("No overhead line is listed, and none is said to be absent. Walk the site and look.")
    return rule.compare(
        demand=required.value,
        capacity=distance,
        note=f"{_capital(said)} {feet_text(distance)} ft, at least {feet_text(required.value)} ft: "
        f"{multiple:g} times {feet_text(height)} ft to the {datum}.",
        case=said,
        steps=(required,),
    )


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
