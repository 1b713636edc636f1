"""What stands on the one-line, in order from the turbine to the utility, with the words beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from installs.ground_station.review import turbine_system
from sitecalc.checks import readable
from sitecalc.ground_station.figures import SIDES, DisconnectRow, GroundStationFigures, RunRow
from sitecalc.ground_station.tables import named


@dataclass(frozen=True)
class Item:
    """One symbol with its words: ``title`` first, ``lines`` under it, ``faults`` in heavy ink.

    symbol
        name of a drawing in symbols.py.
    short
        the words under it in the small one-line.
    """

    symbol: str
    title: str
    lines: tuple[str, ...] = ()
    balloon: int = 0
    wires: int = 0
    mark: str = ""  # letters inside the symbol
    short: str = ""
    faults: tuple[str, ...] = field(default=())


def chain(
    design: GroundStationFigures,
    runs: Sequence[Mapping[str, Any]] = (),
    faults: Mapping[str, list[str]] | None = None,
) -> tuple[list[Item], list[Item]]:
    """(turbine to inverter, inverter to utility).

    ``runs``: results of the runs in order (RunResult as a mapping); ``faults``: titles of checks that do not
    pass, by the run's name.
    """
    by_name = {run["name"]: run for run in runs}

    def run(row: RunRow) -> Item:
        return _run(design, row, by_name.get(row.name), (faults or {}).get(row.name, []))

    before = [item for row in design.runs if row.side == SIDES[0] for item in (run(row), *_breaker(row))]
    return [*_turbine_end(design), *before, *_converter(design)], _to_the_service(design, run)


def _to_the_service(design: GroundStationFigures, run: Callable[[RunRow], Item]) -> list[Item]:
    """Runs, each with what stands at its end; the last one's breaker is the one on the bus, or at the tap.

    A disconnect, or the meter, that a run names as its end stands there; the others behind the last run.
    """
    rows = [row for row in design.runs if row.side == SIDES[1]]
    devices = _devices(design)
    items: list[Item] = []
    for row in rows[:-1]:
        named_here = [each for each in devices if each.title.lower() == row.end.strip().lower()]
        devices = [each for each in devices if each not in named_here]
        items += [run(row), *_breaker(row), *named_here]
    last = rows[-1:]
    items += [*map(run, last), *devices]
    return [*items, *(item for row in last for item in _breaker(row)), *_service_end(design)]


def _turbine_end(design: GroundStationFigures) -> list[Item]:
    output = f"{_said(design.turbine_v, 'V', 'voltage')}, {_said(design.turbine_max_a, 'A', 'current')}"
    open_v = f", {design.turbine_open_v:g} V open" if design.turbine_open_v is not None else ""
    kind = design.turbine_kind or "kind not given"
    lines = (f"{kind}, at maximum output", f"{output}{open_v}")
    items = [Item("generator", "Wind turbine", lines, balloon=1, short=output)]
    if design.tower_grounded:
        items.append(Item("ground", "Tower", ("electrodes of its own, bonded to the premises",), 1))
    if design.brake in ("short-circuit switch", "two of these"):
        current = f"{_said(design.turbine_short_a, 'A', 'current')} while closed"
        items.append(
            Item("brake", "Brake switch", ("shorts the turbine's lines", current), 2, short="brake switch")
        )
    if design.turbine_disconnect:
        word = "open it only as the maker writes" if design.regulates_speed else "turbine output"
        items.append(Item("switch", "Turbine disconnect", (word,), 3, short="disconnect"))
    return items


def _converter(design: GroundStationFigures) -> list[Item]:
    items = []
    if not design.turbine_kind or design.turbine_kind.startswith("wild AC") or design.rectifier:
        name = design.rectifier or "rectifier, controller"
        limit = f"highest input {_said(design.input_max_v, 'V')}"
        items.append(Item("box", name, (limit,), 4, mark="rectifier", short=""))
    listed = {True: "listed UL 1741", False: "not listed UL 1741", None: "listing not confirmed"}
    if not design.turbine_kind.startswith("grid AC"):
        items.append(
            Item(
                "box",
                design.inverter or "Inverter",
                (
                    f"{design.inverter_system}, {design.inverter_v:g} V",
                    f"continuous output {_said(design.inverter_a, 'A')}",
                    listed[design.inverter_listed],
                ),
                5,
                mark="inverter",
                short=f"{design.inverter_v:g} V, {_said(design.inverter_a, 'A', 'output')}",
            )
        )
    return items


def _run(
    design: GroundStationFigures, row: RunRow, result: Mapping[str, Any] | None, faults: list[str]
) -> Item:
    system = turbine_system(design.turbine_kind) if row.side == SIDES[0] else design.inverter_system
    wires = (3 if system == "3-phase" else 2) + (1 if row.neutral == "yes" else 0)
    sets = int(row.sets or 1)
    metal = f"{row.ground_metal} " if row.ground_metal not in ("", row.metal) else ""
    ground = f", {named(row.ground_size)} {metal}ground" if row.ground_size else ", no ground given"
    conduit: str = row.conduit
    if conduit != "direct burial":
        conduit = f"{row.trade_size or '?'} in {conduit}"
    cover = f", {row.cover_in:g} in cover" if row.cover_in is not None else ""
    many = f"{sets} x " if sets > 1 else ""
    word = "drop" if row.side == SIDES[0] else "rise"
    drop = f"; {word} {result['drop_pct']:.2f}\u00a0%" if result else ""
    ends = " to ".join(filter(None, (row.origin, row.end)))
    lines = (
        f"{row.length_ft:g} ft" + (f", {ends}" if ends else ""),
        f"{many}{wires} - {named(row.size)} {row.metal} {row.insulation}{ground}",
        f"{conduit}{cover}{drop}",
    )
    return Item("run", row.name, lines, 12, wires=wires, faults=tuple(faults))


def _breaker(row: RunRow) -> list[Item]:
    if not row.breaker_a:
        return []
    rating = f", {row.interrupting_a:,.0f} AIC" if row.interrupting_a else ", AIC not given"
    words, short = (f"{row.name}{rating}",), f"breaker, {row.breaker_a:g} A"
    return [Item("breaker", f"{row.breaker_a:g} A breaker", words, 12, short=short)]


def _devices(design: GroundStationFigures) -> list[Item]:
    """Between the inverter and the bus: disconnects, production meter, surge protection."""
    items = [
        Item(
            "fused switch" if row.fused == "yes" else "switch",
            row.name,
            (
                f"{row.rating_a:g} A, " + ("lockable open" if row.lockable == "yes" else "not lockable"),
                *((fuses(row),) if row.fused == "yes" else ()),
                *(("for the utility",) if row.utility == "yes" else ()),
            ),
            13,
            short="disconnect",
        )
        for row in design.disconnects
    ]
    if design.production_meter:
        items.append(Item("meter", "Production meter", ("kWh",), 7, short="kWh meter"))
    if design.surge not in ("none", "not known"):
        items.append(Item("surge", "Surge protective device", (design.surge,), 6))
    return items


def fuses(row: DisconnectRow) -> str:
    return f"fuses {row.fuse_a:g} A" if row.fuse_a is not None else "fuse size not given"


def _service_end(design: GroundStationFigures) -> list[Item]:
    return [
        *_panel(design),
        Item("meter", "Utility's meter", ("import and export",), short="utility meter"),
        _service(design),
        _transformer(design),
        Item("utility", "Utility", short="utility"),
    ]


def _panel(design: GroundStationFigures) -> list[Item]:
    """The bus with its main and ground, or the tap ahead of them."""
    electrode = f"{design.rods} rods" if design.electrode == "rods" else design.electrode
    ground = Item(
        "ground", "Grounding electrode", (f"{electrode}, {named(design.electrode_size)} copper",), 9
    )
    main = _said(design.panel_main_a, "A")
    if design.connection == "supply side":
        lines = (
            f"{_said(design.tap_ft, 'ft', 'length')} to its device",
            f"ahead of the panel's main, {main}",
        )
        return [Item("tap", "Supply-side tap", lines, 8, short="tap"), ground]
    place = design.breaker_position
    words = {
        "not known": "where the inverter's breaker stands is not given",
        "opposite end from main": "inverter's breaker at the opposite end from the main",
        "center-fed, one end": "center-fed, inverter's breaker at one end",
    }.get(place, "inverter's breaker elsewhere on the bus")
    rating = design.main_interrupting_a
    aic = f"{rating:,.0f} AIC" if rating is not None else "AIC not given"
    return [
        Item("bus", "Panel", (f"bus {_said(design.panel_bus_a, 'A')}", words), 8),
        Item("breaker", f"Main breaker, {main}", (aic,), short=f"main, {main}"),
        ground,
    ]


def _service(design: GroundStationFigures) -> Item:
    sets = f"{design.service_sets} x " if design.service_sets > 1 else ""
    wires = 3 if design.inverter_system == "1-phase" else 4
    words = f"{sets}{wires} - {named(design.service_size)} {design.service_metal}, {design.service_ft:g} ft"
    return Item("run", "Service conductors", (words,), 10, wires=wires)


def _transformer(design: GroundStationFigures) -> Item:
    words = f"{_said(design.service_kva, 'kVA', 'kVA')}, impedance {_said(design.service_z_pct, '%')}"
    short = _said(design.service_kva, "kVA") if design.service_kva is not None else "transformer"
    return Item("transformer", "Utility transformer", (words,), 11, short=short)


def _said(value: float | None, unit: str, what: str = "") -> str:
    """ "40 A", or "current not given" """
    return f"{what} not given".strip() if value is None else f"{readable(value)} {unit}"
