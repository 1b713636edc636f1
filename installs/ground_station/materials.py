"""Conductors, conduit and equipment of a released ground station, for the material list.

Allowances are common practice, no source: 5 % for waste and 6 ft of each conductor at each end; 5 %
for conduit. Conduit is listed in feet and bought in 10 ft lengths.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from installs.ground_station.labels import labels
from installs.ground_station.models import released_design
from installs.ground_station.review import turbine_system
from installs.jobs.material_lines import Line
from sitecalc.ground_station.conduit import longest_hang_ft
from sitecalc.ground_station.figures import SIDES, DisconnectRow, GroundStationFigures, RunRow
from sitecalc.ground_station.tables import named

PHASE = "ground station"
WASTE, END_FT = 0.05, 6.0


def lines(revision: Any) -> list[Line]:
    """Conductors by size and kind, conduit by size, supports, devices, grounding, labels."""
    design = released_design(revision.inputs)
    return [
        *_conductors(design),
        *_conduit(design),
        *_supports(design),
        *_devices(design),
        *_grounding(design),
    ]


def conductor_count(design: GroundStationFigures, row: RunRow) -> int:
    """Insulated conductors of one set, without the ground."""
    system = turbine_system(design.turbine_kind) if row.side == SIDES[0] else design.inverter_system
    return (3 if system == "3-phase" else 2) + (1 if row.neutral == "yes" else 0)


def _sets(row: RunRow) -> int:
    return int(row.sets or 1)


def _conductors(design: GroundStationFigures) -> list[Line]:
    feet: dict[tuple[str, str], float] = defaultdict(float)
    ends: dict[tuple[str, str], int] = defaultdict(int)
    for row in design.runs:
        kind = f"{row.metal} {row.insulation}"
        wires = [(f"{named(row.size)} {kind}", conductor_count(design, row))]
        if row.ground_size:
            metal = row.ground_metal or row.metal
            wires.append((f"{named(row.ground_size)} {metal} {row.insulation}, green", 1))
        for what, count in wires:
            feet[what, row.name] += _sets(row) * count * row.length_ft
            ends[what, row.name] += 2 * _sets(row) * count
    return [
        Line(
            PHASE,
            "Conductor",
            f"{what}, {_names(names)}",
            total,
            "ft",
            _up(WASTE * total + END_FT * tails),
            good=f"Conductor, {what}",
        )
        for what, names, total, tails in _added(feet, ends)
    ]


def _added(
    feet: dict[tuple[str, str], float], ends: dict[tuple[str, str], int]
) -> Iterable[tuple[str, list[str], float, int]]:
    """(what, runs, feet, ends) over the runs that use the same."""
    for what in dict.fromkeys(key[0] for key in feet):
        names = [name for kind, name in feet if kind == what]
        yield what, names, sum(feet[what, n] for n in names), sum(ends[what, n] for n in names)


def _conduit(design: GroundStationFigures) -> list[Line]:
    feet: dict[tuple[str, str], float] = defaultdict(float)
    for row in design.runs:
        if row.conduit != "direct burial":
            feet[f"{row.trade_size} in {row.conduit}", row.name] += _sets(row) * row.length_ft
    found = [
        Line(
            PHASE,
            "Conduit",
            f"{what}, {_names(names)}",
            total,
            "ft",
            _up(WASTE * total),
            good=f"Conduit, {what}",
        )
        for what, names, total, _ in _added(feet, defaultdict(int))
    ]
    buried = sum(
        row.length_ft - (row.vertical_ft or 0.0) for row in design.runs if row.location != "not buried"
    )
    if buried > 0:
        found.append(
            Line(PHASE, "Warning ribbon", "in the trench, 12 in over", buried, "ft", _up(WASTE * buried))
        )
    return found


def _supports(design: GroundStationFigures) -> list[Line]:
    """Grips that carry the conductors hanging in the tower: one at the top and one at each support."""
    found = []
    for row in design.runs:
        hanging = row.vertical_ft or 0.0
        if hanging > 0:
            apart = min(row.support_ft or hanging, longest_hang_ft(row.size, row.metal))
            count = _sets(row) * math.ceil(hanging / apart)
            detail = f"{row.name}, {hanging:g} ft, at most {apart:g} ft apart"
            good = f"Conductor support, {named(row.size)} {row.metal}"
            found.append(Line(PHASE, "Conductor support", detail, count, "each", good=good))
    return found


def _devices(design: GroundStationFigures) -> list[Line]:
    found = [
        Line(PHASE, "Breaker", f"{_breaker(row)}, {row.name}", 1, "each", good=f"Breaker, {_breaker(row)}")
        for row in design.runs
        if row.breaker_a
    ]
    poles = 3 if design.inverter_system == "3-phase" else 2  # a fuse in each ungrounded conductor
    for switch in design.disconnects:
        rated = f"{switch.rating_a:g} A{_traits(switch)}"
        found.append(
            Line(PHASE, "Disconnect", f"{switch.name}, {rated}", 1, "each", good=f"Disconnect, {rated}")
        )
        if switch.fused == "yes":
            size = f"{switch.fuse_a:g} A" if switch.fuse_a is not None else "size to be confirmed"
            found.append(Line(PHASE, "Fuse", f"{size}, {switch.name}", poles, "each", good=f"Fuse, {size}"))
    single = [
        (
            "Brake switch",
            "for the turbine's output",
            design.brake in ("short-circuit switch", "two of these"),
        ),
        ("Rectifier or controller", design.rectifier, bool(design.rectifier)),
        ("Inverter", design.inverter or "to be confirmed", not design.turbine_kind.startswith("grid AC")),
        ("Production meter and socket", "kWh", design.production_meter),
        ("Surge protective device", design.surge, design.surge not in ("none", "not known")),
    ]
    found += [
        Line(PHASE, item, detail, 1, "each", good=f"{item}, {detail}")
        for item, detail, present in single
        if present
    ]
    posted = labels(design)
    found.append(Line(PHASE, "Label", ", ".join(label.number for label in posted), len(posted), "each", 0))
    return found


def _breaker(row: RunRow) -> str:
    interrupts = f"{row.interrupting_a:,.0f} AIC" if row.interrupting_a else "AIC to be confirmed"
    return f"{row.breaker_a:g} A, {interrupts}"


def _grounding(design: GroundStationFigures) -> list[Line]:
    size = f"{named(design.electrode_size)} copper"
    good = f"Grounding electrode conductor, {size}"
    if design.electrode == "rods":
        apart = max(design.rods - 1, 0) * design.rod_spacing_ft
        return [
            Line(
                PHASE,
                "Ground rod and clamp",
                rod := f"{design.rod_length_ft:g} ft",
                design.rods,
                "each",
                good=f"Ground rod and clamp, {rod}",
            ),
            Line(
                PHASE, "Grounding electrode conductor", f"{size}, rod to rod", apart, "ft", 2 * END_FT, good
            ),
        ]
    return [
        Line(
            PHASE,
            "Grounding electrode conductor",
            f"{size}, {design.electrode}",
            design.electrode_ft,
            "ft",
            2 * END_FT,
            good,
        )
    ]


def _traits(row: DisconnectRow) -> str:
    traits = [
        word
        for word, key in (("fused", "fused"), ("lockable open", "lockable"))
        if getattr(row, key) == "yes"
    ]
    return "".join(f", {word}" for word in traits)


def _names(names: list[str]) -> str:
    return ", ".join(dict.fromkeys(names))


def _up(feet: float) -> float:
    return float(math.ceil(feet))
