"""Columns of the rows of figures: runs of conductors and disconnects."""

from __future__ import annotations

from typing import Any, get_args

from installs.jobs.rows import Column
from sitecalc.ground_station.run import Location
from sitecalc.ground_station.tables import SIZES, TRADE_SIZES, Conduit, Insulation, Metal

SIDES = ("turbine to inverter", "inverter to service")
UNMARKED = "unmarked"


def _number(name: str, label: str, unit: str, low: float, high: float, required: bool = False) -> Column:
    return Column(name, label, unit=unit, low=low, high=high, required=required, size=6)


def _word(name: str, label: str, choices: tuple[str, ...], required: bool = True) -> Column:
    return Column(name, label, choices=choices, required=required)


RUN_COLUMNS = (
    Column("name", "Name", size=14),
    _word("side", "Side", SIDES),
    Column("origin", "From", required=False, size=12),
    Column("end", "To", required=False, size=12),
    _number("length_ft", "Length one way", "ft", 0.5, 5000, required=True),
    _word("size", "Conductor", SIZES),
    _word("metal", "Metal", get_args(Metal)),
    _word("insulation", "Insulation", get_args(Insulation)),
    _number("sets", "Parallel sets", "", 1, 6),
    _word("neutral", "Neutral", ("no", "yes"), required=False),
    _word("ground_size", "Equipment ground", SIZES, required=False),
    _number("carrying", "Current-carrying in conduit", "", 2, 60),
    _number("ambient_f", "Highest ambient", "F", -40, 185),
    _word("terminals", "Terminals marked", (UNMARKED, "60 C", "75 C"), required=False),
    _word("conduit", "Conduit", get_args(Conduit)),
    _word("trade_size", "Trade size", TRADE_SIZES, required=False),
    _word("location", "Lies", get_args(Location)),
    _number("cover_in", "Cover", "in", 0, 240),
    _number("vertical_ft", "Vertical in tower", "ft", 0, 500),
    _number("support_ft", "Between supports", "ft", 1, 500),
    _number("breaker_a", "Breaker", "A", 1, 6000),
    _number("interrupting_a", "Interrupting", "A", 1000, 300000),
    _number("drop_limit_pct", "Voltage limit", "%", 0.1, 20),
)

DISCONNECT_COLUMNS = (
    Column("name", "Name", size=16),
    _number("rating_a", "Rating", "A", 15, 4000, required=True),
    _number("withstand_a", "Short-circuit rating", "A", 1000, 300000),
    _word("fused", "Fused", ("no", "yes"), required=False),
    _word("lockable", "Lockable open", ("no", "yes"), required=False),
    _word("utility", "For the utility", ("no", "yes"), required=False),
)

Row = dict[str, Any]
