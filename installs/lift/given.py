"""What tower, turbine and foundation designs give to a lift: weight, center of gravity, outline.

Read from the drafts, so that the page follows them at once; a release freezes what was read.
"""

from __future__ import annotations

import math
from typing import Any

from django.core.exceptions import ObjectDoesNotExist

from installs.jobs.firm import the_firm
from installs.jobs.reading import read_once
from installs.turbine.machine import Given, turbine_given
from sitecalc.inputs import InputError
from sitecalc.lift.chart import FIRM_LIMITS
from sitecalc.lift.plausible import section_steel_lb
from sitecalc.lift.raising import Section, SectionsCase, center_of_gravity
from sitecalc.tower.figures import TowerFigures

# from the middle of the tower to a leg, as part of the face's width: whichever way the tower is turned
LEGS = {"lattice, 3 legs": 3, "lattice, 4 legs": 4}
OUT_OF_FACE = {"lattice, 3 legs": 1 / math.sqrt(3), "lattice, 4 legs": 1 / math.sqrt(2), "tube": 0.5}


def given_to(lift: Any) -> dict[str, Any]:
    """By the lift's field names: weight_lb, length_ft, center_ft, corners; ``source`` in words.

    ``sections`` are the tower's from the foot up, ``stands`` the outline of the tower a turbine is set on,
    below its top; ``pad_ft`` the side of the foundation, ``foot_ft`` what the load is set on above grade,
    ``nuts`` and ``plumb_in`` what must be true of the tower before the hook is let go; ``steel_lb`` the steel
    of each section's legs or shell alone; ``tube`` that the tower is one; ``rotor_ft``, ``hub_ft``,
    ``ahead_ft`` and ``tail_ft`` where rotor and tail of a turbine are.
    """
    tower, pad = _of(lift.job, "tower"), _of(lift.job, "foundation")
    given: dict[str, Any] = {}
    top = None
    if pad is not None:
        given["pad_ft"], top = pad.side_ft, pad.top_above_grade_ft
    if lift.is_tower:
        given |= tower_given(tower) if tower is not None else {}
    else:
        given |= _turbine(lift.job)
        if tower is not None and tower.sections:
            given["stands"] = stands_of(tower)
            given |= {"tube": True} if tower.kind == "tube" else {}
            top = None if top is None else top - given["stands"][0]["up_ft"]
        else:
            top = None
    if top is not None:
        given["foot_ft"] = top
    # the firm's limits, which a lift may only go under
    return {**given, **firm_limits()}


@read_once
def firm_limits() -> dict[str, float]:
    firm = the_firm()
    if firm is None:
        return {"critical_percent": FIRM_LIMITS.standard_below, "most_percent": FIRM_LIMITS.permitted_to}
    return {"critical_percent": firm.critical_percent, "most_percent": firm.most_percent}


def _of(job: Any, part: str) -> Any:
    """The figures of a part's draft; None while there is none."""
    try:
        draft = getattr(job, part, None)
    except ObjectDoesNotExist:
        return None
    return draft.figures if draft is not None else None


def tower_given(tower: TowerFigures) -> dict[str, Any]:
    if not tower.sections:
        return {}
    given: dict[str, Any] = {
        "length_ft": sum(row.length_ft for row in tower.sections),
        "longest_ft": sum(row.length_ft for row in tower.sections),
        "corners": outline_of(tower),
        "nuts": tower.anchor_bolts * LEGS.get(tower.kind, 1),
    }
    if tower.kind == "tube":
        given["tube"] = True
    if tower.plumb_percent:
        given["plumb_in"] = tower.plumb_percent / 100 * 12 * given["length_ft"]
    if all(row.weight_lb for row in tower.sections):
        sections = tuple(Section(length_ft=r.length_ft, weight_lb=r.weight_lb or 0.0) for r in tower.sections)
        try:
            found = center_of_gravity(SectionsCase(sections=sections))
        except InputError:
            # the tower's own page says what is wrong with its sections; here nothing is given
            return given
        given |= {
            "weight_lb": found.weight_lb,
            "center_ft": found.center_ft,
            "source": "sum of the sections in the tower design",
            "sections": [{"length_ft": s.length_ft, "weight_lb": s.weight_lb} for s in sections],
            "steel_lb": [section_steel_lb(tower.kind, row) for row in tower.sections],
        }
    return given


def stands_of(tower: TowerFigures) -> list[dict[str, Any]]:
    """The outline of the tower that a turbine is set on, from its top down."""
    rows = outline_of(tower)
    height = rows[-1]["up_ft"]
    return [{**row, "up_ft": row["up_ft"] - height} for row in rows]


def outline_of(tower: TowerFigures) -> list[dict[str, Any]]:
    """Corners of the tower toward the boom, from its foot up, for the worst way it can be turned."""
    part = OUT_OF_FACE.get(tower.kind, 1 / math.sqrt(2))
    rows, up = [], 0.0
    for row in tower.sections:
        rows.append({"up_ft": up, "out_ft": part * row.bottom_in / 12, "name": "tower"})
        up += row.length_ft
        rows.append({"up_ft": up, "out_ft": part * row.top_in / 12, "name": "tower"})
    rows[-1]["name"] = "tower top"
    return rows


def _turbine(job: Any) -> dict[str, Any]:
    """The head from its yaw flange up, rotor on; empty while no machine is chosen."""
    chosen = turbine_given(job)
    return {} if chosen is None else head_given(chosen, chosen.yaw_bolts)


def head_given(chosen: Given, yaw_bolts: int | None) -> dict[str, Any]:
    machine = chosen.machine
    hub, half = machine.hub_above_flange_ft, machine.body_length_ft / 2
    top = hub + machine.body_height_ft / 2
    ahead = abs(machine.hub_ahead_ft)
    given: dict[str, Any] = {
        "weight_lb": machine.head_weight_lb,
        "source": chosen.source,
        "length_ft": top,
        "corners": [
            {"up_ft": 0.0, "out_ft": half, "name": "body"},
            {"up_ft": top, "out_ft": max(half, machine.tail_ft, ahead), "name": "body or tail"},
            # the rotor faces the crane or looks away from it, one blade up at worst; never edge on
            {"up_ft": hub + machine.rotor_diameter_ft / 2, "out_ft": ahead, "name": "blade, rotor facing"},
        ],
    }
    half_rotor = machine.rotor_diameter_ft / 2
    given |= {
        "longest_ft": max(math.hypot(half_rotor, ahead), machine.tail_ft, half),
        "rotor_ft": machine.rotor_diameter_ft,
        "hub_ft": hub,
        "ahead_ft": ahead,
        "tail_ft": machine.tail_ft,
    }
    if yaw_bolts is not None:
        given["yaw_bolts"] = yaw_bolts
    if machine.center_above_flange_ft is not None:
        given["center_ft"] = max(machine.center_above_flange_ft, 0.0)
    if machine.wind_area_ft2 is not None:
        given["sail_ft2"] = machine.wind_area_ft2
    return given
