"""What stands near the tower, and the height the rotor keeps over it.

Guides disagree on whether the bottom of the blades or the hub keeps the clearance, and within what distance:
both are stated, and the safe one is the starting value.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula
from sitecalc.inputs import quantity
from sitecalc.site.figures import SiteFigures, ThingRow
from sitecalc.site.words import ClearanceDatum, Kind

OBSTACLE_RULE = (
    "Open Energy Information, Small Wind and Community Wind guidebooks: 30 ft above anything within 500 ft; "
    "the bottom of the blades keeps it by some guides, the hub by others"
)

OBSTACLES = Rule("obstacles", "Obstacles in the wind", "ft", OBSTACLE_RULE, Known.READ)
TOP = Formula("top", "top of the obstacle with its ground and growth", "height+growth+ground", "ft")
NEEDED = Formula("H", "height that is needed", "max(0,top)+clearance", "ft")
BOTTOM = Formula("zb", "bottom of the blades", "h_hub-D/2", "ft")


@dataclass(frozen=True, kw_only=True)
class Thing:
    """What stands near the tower. Height unknown: not checked, never clear."""

    name: str = same_as(ThingRow, "name", required=True)
    kind: Kind = same_as(ThingRow, "kind", required=True)
    distance_ft: float = same_as(ThingRow, "distance_ft", required=True)
    height_ft: float | None = same_as(ThingRow, "height_ft")
    # left empty: its ground is level with ours
    ground_ft: float = same_as(ThingRow, "ground_ft", default=0.0)
    ours: bool = quantity("", "belongs to the owner of the job, not to a neighbor", default=False)


@dataclass(frozen=True, kw_only=True)
class ObstacleRule:
    """Clearance, what keeps it, and within what distance."""

    clearance_ft: float = same_as(SiteFigures, "clearance_ft")
    datum: ClearanceDatum = same_as(SiteFigures, "clearance_datum")
    radius_ft: float = same_as(SiteFigures, "obstacle_radius_ft")
    growth_ft: float = same_as(SiteFigures, "growth_ft")


def obstacle_check(
    things: tuple[Thing, ...],
    *,
    hub_ft: float,
    diameter_ft: float,
    rule: ObstacleRule,
    surveyed_ft: float | None,
) -> Check:
    """Height in ft that the rotor keeps over what stands near.

    Top of the obstacle + clearance at most the bottom of the blades or the hub.

    One too high fails, whatever else is not known; else the list must be complete and every height given.
    Guides say 30 ft over anything within 500 ft (Open Energy Information guidebooks); which guide a job goes
    by is its own choice, common practice, no source.

    hub_ft, diameter_ft
        of the machine, ft.
    surveyed_ft
        all that stands within this distance, ft, is in ``things``.
    """
    near = [t for t in things if t.distance_ft <= rule.radius_ft and t.kind != "road"]
    known = [t for t in near if t.height_ft is not None]
    highest = max(known, key=lambda t: top_ft(t, rule), default=None)
    top = top_ft(highest, rule) if highest else 0.0
    keeps = hub_ft if rule.datum == "hub" else BOTTOM.value(h_hub=hub_ft, D=diameter_ft)
    needed = NEEDED.step_of(f"height the {rule.datum} must have", top=top, clearance=rule.clearance_ft)
    if needed.value <= keeps:
        why = _not_known(near, rule, surveyed_ft)
        if why:
            return OBSTACLES.open(why)
    over = f"the {highest.name}" if highest and top > 0 else "open ground"
    return OBSTACLES.compare(
        demand=needed.value,
        capacity=keeps,
        note=f"{rule.datum.capitalize()} at {feet_text(keeps)} ft, {feet_text(needed.value)} ft required: "
        f"{rule.clearance_ft:g} ft over {over} within {rule.radius_ft:g} ft.",
        case=over,
        steps=(*((_top(highest, rule),) if highest else ()), needed),
    )


def _not_known(near: list[Thing], rule: ObstacleRule, surveyed_ft: float | None) -> str:
    if surveyed_ft is None or surveyed_ft < rule.radius_ft:
        return f"The list is not known to be complete to {rule.radius_ft:g} ft."
    unknown = [t.name for t in near if t.height_ft is None]
    return f"Height of {', '.join(unknown)} is not given." if unknown else ""


def top_ft(thing: Thing, rule: ObstacleRule) -> float:
    """Top of an obstacle above the tower's ground in ft: its height, the growth of trees, its ground.

    Common practice, no source; a height that is not given counts as nothing here and leaves the check open.
    """
    return _top(thing, rule).value


def _top(thing: Thing, rule: ObstacleRule) -> Step:
    growth = rule.growth_ft if thing.kind == "trees" else 0.0
    return TOP.step_of(
        f"top of {thing.name}", height=thing.height_ft or 0.0, growth=growth, ground=thing.ground_ft
    )


def feet_text(value: float) -> str:
    """Whole feet where that is exact, else a tenth."""
    return readable(round(value, 1))
