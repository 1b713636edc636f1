"""What tower, turbine and foundation designs give to a lift: weight, center of gravity, outline.

Read from the drafts, so that the page follows them at once; a release freezes what was read.
"""

from __future__ import annotations

import math
from typing import Any

from django.core.exceptions import ObjectDoesNotExist

from sitecalc.inputs import InputError
from sitecalc.lift.raising import Section, SectionsCase, center_of_gravity

# from the middle of the tower to a leg, as part of the face's width: whichever way the tower is turned
LEGS = {"lattice, 3 legs": 3, "lattice, 4 legs": 4}
OUT_OF_FACE = {"lattice, 3 legs": 1 / math.sqrt(3), "lattice, 4 legs": 1 / math.sqrt(2), "tube": 0.5}


def given_to(lift: Any) -> dict[str, Any] | None:
    """By the lift's field names: weight_lb, length_ft, center_ft, corners; ``source`` in words.

    ``sections`` are the tower's from the foot up, ``stands`` the outline of the tower a turbine is set on,
    below its top; ``pad_ft`` the side of the foundation,
    ``nuts`` and ``plumb_in`` what must be true of the tower before the hook is let go.
    """
    tower, pad = _of(lift.job, "tower"), _of(lift.job, "foundation")
    given: dict[str, Any] = {}
    if pad is not None and getattr(pad, "side_ft", None):
        given["pad_ft"] = pad.side_ft
    if lift.is_tower:
        given |= _tower(tower) if tower is not None else {}
    else:
        given |= _turbine(lift.job)
        if tower is not None and tower.sections:
            rows = _outline(tower)
            given["stands"] = [{**row, "up_ft": row["up_ft"] - rows[-1]["up_ft"]} for row in rows]
    return given or None


def _of(job: Any, part: str) -> Any:
    try:
        return getattr(job, part, None)
    except ObjectDoesNotExist:
        return None


def _tower(tower: Any) -> dict[str, Any]:
    if not tower.sections:
        return {}
    given: dict[str, Any] = {
        "length_ft": sum(row["length_ft"] for row in tower.sections),
        "corners": _outline(tower),
        "nuts": tower.anchor_bolts * LEGS.get(tower.kind, 1),
    }
    if tower.plumb_percent:
        given["plumb_in"] = tower.plumb_percent / 100 * 12 * given["length_ft"]
    if all(row.get("weight_lb") for row in tower.sections):
        sections = tuple(Section(length_ft=r["length_ft"], weight_lb=r["weight_lb"]) for r in tower.sections)
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
        }
    return given


def _outline(tower: Any) -> list[dict[str, Any]]:
    """Corners of the tower toward the boom, from its foot up, for the worst way it can be turned."""
    part = OUT_OF_FACE.get(tower.kind, 1 / math.sqrt(2))
    rows, up = [], 0.0
    for row in tower.sections:
        rows.append({"up_ft": up, "out_ft": part * row["bottom_in"] / 12, "name": ""})
        up += row["length_ft"]
        rows.append({"up_ft": up, "out_ft": part * row["top_in"] / 12, "name": ""})
    rows[-1]["name"] = "tower top"
    return rows


def _turbine(job: Any) -> dict[str, Any]:
    from installs.tower.head import head_of

    head = head_of(job)
    if head is None or not head.weight_lb:
        return {}
    return {"weight_lb": head.weight_lb, "source": head.source}
