"""A run of conductors from one piece of equipment to the next: what all checks of wiring take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.inputs import InputError, quantity

from .tables import INSULATIONS, Conduit, Insulation, Metal, Size, TradeSize, table_ampacity_a
from .words import Location, System


@dataclass(frozen=True, kw_only=True)
class Run:
    """One run. Each of ``sets`` parallel sets lies in a conduit of its own."""

    name: str = quantity("", "name of the run, as on the one-line")
    system: System = quantity("", "1-phase, 3-phase or DC")
    volts: float = quantity("V", "nominal voltage between lines", low=12, high=1000)
    current_a: float = quantity("A", "maximum continuous current", low=0.1, high=2000)
    length_ft: float = quantity("ft", "length one way", low=0.5, high=5000)
    size: Size = quantity("", "conductor size, AWG or kcmil")
    metal: Metal = quantity("", "copper or aluminum")
    insulation: Insulation = quantity("", "insulation type")
    conduit: Conduit = quantity("", "conduit, or direct burial")
    trade_size: TradeSize | None = quantity("", "trade size of the conduit", default=None)
    sets: int = quantity("", "parallel sets", low=1, high=6, default=1)
    neutral: bool = quantity("", "has a neutral that carries only the unbalance", default=False)
    carrying: int | None = quantity(
        "",
        "current-carrying conductors in the conduit, if more than this run's",
        low=2,
        high=60,
        default=None,
    )
    ambient_f: float = quantity("F", "highest ambient", low=-40, high=185, default=86.0)
    terminals_c: Literal[60, 75] | None = quantity(
        "C", "marked temperature of the terminals; none: the code's assumption", default=None
    )
    breaker_a: float | None = quantity("A", "breaker or fuse, if any", low=1, high=6000, default=None)
    interrupting_a: float | None = quantity(
        "A", "interrupting rating of that breaker", low=1000, high=300000, default=None
    )
    ground_size: Size | None = quantity("", "equipment grounding conductor", default=None)
    power_factor: float = quantity("", "power factor", low=0.1, high=1, default=1.0)
    frequency_hz: float = quantity("Hz", "frequency; wild AC varies", low=1, high=400, default=60.0)
    source: bool = quantity("", "feeds toward the utility: the drop is a rise at its far end", default=True)
    drop_limit_pct: float = quantity("%", "voltage drop or rise allowed", low=0.1, high=20, default=3.0)
    location: Location = quantity("", "where it is buried", default="not buried")
    cover_in: float | None = quantity("in", "cover over the top", low=0, high=240, default=None)
    short_circuit_a: float | None = quantity(
        "A", "lasting short-circuit current of the braked turbine", low=0, high=5000, default=None
    )
    backfeed_a: float | None = quantity(
        "A", "largest current its far end can send back into it", low=0, high=5000, default=None
    )
    vertical_ft: float = quantity("ft", "vertical part in the tower", low=0, high=500, default=0.0)
    support_ft: float | None = quantity(
        "ft", "distance between supports of the vertical part", low=1, high=500, default=None
    )

    @property
    def lines(self) -> int:
        """Conductors that carry the circuit's current, in one set."""
        return 3 if self.system == "3-phase" else 2

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
