"""A run of conductors from one piece of equipment to the next: what all checks of wiring take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import ranged_as, same_as
from sitecalc.inputs import InputError, quantity

from .figures import GroundStationFigures, RunRow
from .tables import INSULATIONS, Conduit, Insulation, Metal, Size, TradeSize, table_ampacity_a
from .words import Location, System


@dataclass(frozen=True, kw_only=True)
class Run:
    """One run. Each of ``sets`` parallel sets lies in a conduit of its own."""

    name: str = same_as(RunRow, "name", required=True)
    system: System = quantity("", "1-phase, 3-phase or DC")
    # of either side of the inverter; the turbine's side has the wider range
    volts: float = ranged_as(GroundStationFigures, "turbine_v", "nominal voltage between lines")
    current_a: float = ranged_as(GroundStationFigures, "turbine_max_a", "maximum continuous current")
    length_ft: float = same_as(RunRow, "length_ft", required=True)
    size: Size = same_as(RunRow, "size", required=True)
    metal: Metal = same_as(RunRow, "metal", required=True)
    insulation: Insulation = same_as(RunRow, "insulation", required=True)
    conduit: Conduit = same_as(RunRow, "conduit", required=True)
    trade_size: TradeSize | None = same_as(RunRow, "trade_size")
    sets: int = same_as(RunRow, "sets", default=1)
    neutral: bool = quantity("", "has a neutral that carries only the unbalance", default=False)
    carrying: int | None = same_as(RunRow, "carrying")  # if more than this run's
    ambient_f: float = same_as(RunRow, "ambient_f", default=86.0)
    terminals_c: Literal[60, 75] | None = quantity(
        "C", "marked temperature of the terminals; none: the code's assumption", default=None
    )
    breaker_a: float | None = same_as(RunRow, "breaker_a")
    interrupting_a: float | None = same_as(RunRow, "interrupting_a")
    ground_size: Size | None = same_as(RunRow, "ground_size")
    ground_metal: Metal | None = same_as(RunRow, "ground_metal")
    power_factor: float = same_as(GroundStationFigures, "turbine_pf", default=1.0)
    frequency_hz: float = same_as(GroundStationFigures, "turbine_hz", default=60.0)
    source: bool = quantity("", "feeds toward the utility: the drop is a rise at its far end", default=True)
    drop_limit_pct: float = same_as(RunRow, "drop_limit_pct", default=3.0)
    location: Location = same_as(RunRow, "location", default="not buried")
    cover_in: float | None = same_as(RunRow, "cover_in")
    short_circuit_a: float | None = same_as(GroundStationFigures, "turbine_short_a")
    backfeed_a: float | None = same_as(GroundStationFigures, "backfeed_a")
    vertical_ft: float | None = same_as(RunRow, "vertical_ft")  # none: not said
    support_ft: float | None = same_as(RunRow, "support_ft")

    @property
    def lines(self) -> int:
        """Conductors that carry the circuit's current, in one set."""
        return 3 if self.system == "3-phase" else 2

    @property
    def ground_of(self) -> Metal:
        """Metal of the equipment ground: its own, or that of the conductors."""
        return self.ground_metal or self.metal

    @property
    def carrying_count(self) -> int:
        return max(self.carrying or 0, self.lines)

    @property
    def wires(self) -> int:
        """Insulated conductors of one set without the equipment ground."""
        return self.lines + (1 if self.neutral else 0)


def require_run(run: Run) -> None:
    """InputError for what no table holds: aluminum 14 AWG, small conductors in parallel, no trade size."""
    table_ampacity_a(run.size, run.metal, INSULATIONS[run.insulation][0])
    if run.sets > 1 and "/" not in run.size and len(run.size) < 3:
        raise InputError("sets", "conductors smaller than 1/0 AWG do not run in parallel.")
    if run.conduit != "direct burial" and run.trade_size is None:
        raise InputError("trade_size", "is missing; give the trade size of the conduit.")
    if run.conduit == "direct burial" and run.location == "not buried":
        raise InputError("location", "says where the directly buried conductors lie.")
