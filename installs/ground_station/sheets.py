"""Paper sheets of a released ground station: the one-line, and the wiring and label schedule."""

from __future__ import annotations

import math
from typing import Any

from installs.drafting import Drawing, to_svg
from installs.ground_station.chain import chain, fuses
from installs.ground_station.drawing import faults_by_run
from installs.ground_station.folding import paper_drawings
from installs.ground_station.labels import labels, stopping
from installs.ground_station.models import released_design
from installs.jobs.models import DesignRevision, Job
from sitecalc.checks import readable
from sitecalc.ground_station.figures import SIDES, UNMARKED, GroundStationFigures, RunRow
from sitecalc.ground_station.tables import named
from sitecalc.ground_station.words import BRAKE_WORDS
from sitecalc.wording import quantity_words

WIDE_PX = 960.0  # beside a wider drawing no column of data has room


def one_line_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """E-1: the one-line with what it stands on and how the turbine is stopped."""
    design = released_design(revision.inputs)
    before, after = chain(design, revision.results["runs"], faults_by_run(revision.checks))
    drawn = paper_drawings(before, after, design.edition)
    folded = [to_svg(each, for_print=True) for each in drawn]
    return {
        "title": "One-line diagram",
        "responsible": "electrician",
        "sheet": "E-1",
        "scale": "not to scale",
        "drawings": {"one_line": folded[0], **{f"one_line_{n}": svg for n, svg in enumerate(folded[1:], 2)}},
        "wide": len(drawn) > 1 or _width_px(drawn[0]) > WIDE_PX,
        "checks": revision.checks,
        "data": _data(job, design, revision),
        "cautions": cautions(design),
        "equipment": equipment(revision),
    }


def _width_px(drawn: Drawing) -> float:
    west, _south, east, _north = drawn.box()
    return east - west


def wiring_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """E-2: runs, checks and labels."""
    design = released_design(revision.inputs)
    by_name = {run["name"]: run for run in revision.results["runs"]}
    return {
        "title": "Wiring and label schedule",
        "responsible": "electrician",
        "sheet": "E-2",
        "drawings": {},
        "checks": revision.checks,
        "runs": [_run(row, by_name.get(row.name)) for row in design.runs],
        "labels": labels(design),
        "edition": design.edition,
    }


def equipment(revision: DesignRevision) -> list[dict[str, Any]]:
    """Lines of the packet's equipment list."""
    design = released_design(revision.inputs)
    lines: list[dict[str, Any]] = []

    def add(item: str, *data: str) -> None:
        lines.append({"item": item, "detail": ", ".join(filter(None, data)), "quantity": 1, "unit": "each"})

    if design.rectifier:
        add("Rectifier or controller", design.rectifier, f"input to {_said(design.input_max_v, 'V')}")
    if not design.turbine_kind.startswith("grid AC"):
        add(
            "Inverter",
            design.inverter,
            f"{design.inverter_system} {design.inverter_v:g} V",
            f"{_said(design.inverter_a, 'A')} continuous",
            "listed UL 1741" if design.inverter_listed else "listing not confirmed",
        )
    for row in design.runs:
        if row.breaker_a:
            aic = f"{row.interrupting_a:,.0f} AIC" if row.interrupting_a else "AIC not given"
            add("Breaker", f"{row.breaker_a:g} A", aic, row.name)
    for switch in design.disconnects:
        lockable = "lockable open" if switch.lockable == "yes" else ""
        add(switch.name, f"{switch.rating_a:g} A", fuses(switch) if switch.fused == "yes" else "", lockable)
    if design.surge not in ("none", "not known"):
        add("Surge protective device", design.surge)
    if design.production_meter:
        add("Production meter", "kWh")
    add(
        "Panel",
        f"bus {_said(design.panel_bus_a, 'A')}",
        f"main {_said(design.panel_main_a, 'A')}",
        f"{_said(design.main_interrupting_a, 'A')} interrupting",
    )
    return lines


def cautions(design: GroundStationFigures) -> list[str]:
    words = [
        f"To stop the turbine: {stopping(design)} A utility outage takes its load away.",
        "Only a licensed electrician makes, opens or changes these circuits; the authority having "
        "jurisdiction and the utility decide.",
    ]
    if design.regulates_speed:
        words.insert(
            0,
            "The turbine's output circuit holds the rotor's speed: opening a disconnect or breaker in it "
            "may cause overspeed.",
        )
    return words


def _data(job: Job, design: GroundStationFigures, revision: DesignRevision) -> list[tuple[str, str]]:
    rise, fault = revision.results["rise_pct"], revision.results["fault_a"]
    return [
        ("Code", f"NEC {design.edition}"),
        ("Utility", job.utility or "not given"),
        ("Turbine", (revision.inputs.get("machine") or {}).get("name", "not given")),
        ("Turbine output, maximum", f"{_said(design.turbine_v, 'V')}, {_said(design.turbine_max_a, 'A')}"),
        ("Open circuit, highest speed", _said(design.turbine_open_v, "V")),
        ("Braked, sustained", _said(design.turbine_short_a, "A")),
        ("Stopping means without the grid", BRAKE_WORDS[design.brake]),
        (
            "Inverter output",
            f"{design.inverter_v:g} V, {_said(design.inverter_a, 'A')}, "
            f"{_kilowatts(design)}{design.inverter_system}",
        ),
        ("Connection", design.connection),
        ("Voltage rise, inverter to service", f"{rise:.2f} %" if rise is not None else "not worked out"),
        ("Available fault current", f"{fault:,.0f} A" if fault is not None else "not worked out"),
    ]


def _kilowatts(design: GroundStationFigures) -> str:
    """ "15 kW, ", what the inverter gives at its continuous current and a power factor of one; or nothing."""
    if design.inverter_a is None:
        return ""
    phases = math.sqrt(3) if design.inverter_system == "3-phase" else 1.0
    return f"{readable(round(phases * design.inverter_v * design.inverter_a / 1000, 1))} kW, "


def _run(row: RunRow, result: dict[str, Any] | None) -> dict[str, str]:
    def given(name: str, unit: str) -> str:
        return quantity_words(value, unit) if (value := getattr(row, name)) is not None else ""

    sets = f"{int(row.sets)} x " if row.sets is not None and row.sets > 1 else ""
    terminals = row.terminals or UNMARKED
    metal = f" {row.ground_metal}" if row.ground_metal not in ("", row.metal) else ""
    return {
        "name": row.name,
        "side": "turbine" if row.side == SIDES[0] else "inverter",
        "ends": " to ".join(filter(None, (row.origin, row.end))),
        "length": f"{row.length_ft:g} ft",
        "conductor": f"{sets}{named(row.size)} {row.metal} {row.insulation}",
        "neutral": row.neutral or "no",
        "ground": f"{named(row.ground_size)}{metal}" if row.ground_size else "none given",
        "terminals": terminals,
        "conduit": " ".join(filter(None, (row.trade_size and f"{row.trade_size} in", row.conduit))),
        "cover": given("cover_in", "in") or row.location,
        "breaker": given("breaker_a", "A") or "none",
        "usable": f"{result['usable_a']:.4g} A" if result else "",
        "drop": f"{result['drop_v']:.2f} V, {result['drop_pct']:.2f} %" if result else "",
    }


def _said(value: float | None, unit: str) -> str:
    return "not given" if value is None else f"{readable(value)} {unit}"
