"""The code's tables of numbers, read once from ``sitecalc/tables``.

Sizes are written as the trade does: "14" to "1" and "1/0" to "4/0" (AWG), "250" and up (kcmil).
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from sitecalc.inputs import InputError

FOLDER = Path(__file__).resolve().parent.parent / "tables"

Metal = Literal["copper", "aluminum"]
Size = Literal[
    "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0",
    "250", "300", "350", "400", "500",
]  # fmt: skip
Insulation = Literal["THWN-2", "XHHW-2", "USE-2", "RHW-2", "THWN", "XHHW"]
Conduit = Literal["PVC 40", "PVC 80", "EMT", "RMC", "direct burial"]
TradeSize = Literal["1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4"]

SIZES: tuple[Size, ...] = get_args(Size)
TRADE_SIZES: tuple[Size, ...] = get_args(TradeSize)

# rating in wet locations in C, and the column of the cross sections; USE-2 is taken as RHW-2
INSULATIONS: dict[str, tuple[int, str]] = {
    "THWN-2": (90, "thwn"),
    "XHHW-2": (90, "xhhw"),
    "USE-2": (90, "rhw"),
    "RHW-2": (90, "rhw"),
    "THWN": (75, "thwn"),
    "XHHW": (75, "xhhw"),
}


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of table ``name``; lines that begin with # say source and edition."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(line for line in file if not line.startswith("#")))


@cache
def _by(name: str, key: str) -> dict[str, dict[str, str]]:
    return {row[key]: row for row in rows(name)}


def _number(name: str, key: str, value: str, column: str, field: str = "size") -> float:
    row = _by(name, key).get(value)
    if row is None or not row[column]:
        raise InputError(field, f"{value} is not in the table for {column.replace('_', ' ')}.")
    return float(row[column])


def table_ampacity_a(size: str, metal: str, column_c: int) -> float:
    """Ampacity in A at 30 C, at most three current-carrying conductors. NEC 2023 Table 310.16."""
    if metal == "aluminum" and size == "14":
        raise InputError("size", "14 AWG is not made in aluminum; 12 AWG is the smallest.")
    return _number("conductor_ampacity", "size", size, f"{_short(metal)}_{column_c}")


def area_cmil(size: str) -> float:
    """Circular mils. NEC Chapter 9 Table 8."""
    return _number("conductor_resistance", "size", size, "cmil")


def dc_resistance_ohm_kft(size: str, metal: str) -> float:
    """Ohm per 1,000 ft at 75 C. NEC Chapter 9 Table 8."""
    return _number("conductor_resistance", "size", size, f"{_short(metal)}_ohm_kft")


def ac_resistance_ohm_kft(size: str, metal: str, conduit: str) -> float:
    """Ohm to neutral per 1,000 ft at 60 Hz and 75 C. NEC Chapter 9 Table 9."""
    return _number("conductor_impedance", "size", size, f"{_short(metal)}_{_wall(conduit)}")


def reactance_ohm_kft(size: str, conduit: str) -> float:
    """Ohm to neutral per 1,000 ft at 60 Hz. NEC Chapter 9 Table 9."""
    column = "x_steel" if _wall(conduit) == "steel" else "x_other"
    return _number("conductor_impedance", "size", size, column)


def wire_area_in2(size: str, insulation: str) -> float:
    """Cross section with insulation in sq in. NEC Chapter 9 Table 5."""
    return _number("conductor_area", "size", size, INSULATIONS[insulation][1])


def conduit_area_in2(kind: str, trade_size: str) -> float:
    """Whole internal area in sq in. NEC Chapter 9 Table 4."""
    for row in rows("conduit_area"):
        if row["kind"] == kind and row["trade_size"] == trade_size:
            return float(row["area_in2"])
    raise InputError("trade_size", f"{trade_size or 'no size'} is not in the table of {kind}.")


def _short(metal: str) -> str:
    return {"copper": "cu", "aluminum": "al"}[metal]


def _wall(conduit: str) -> str:
    """Column of the impedance table; conductors in the ground without conduit are taken as in PVC."""
    return "steel" if conduit in ("EMT", "RMC") else "pvc"


def smallest_size(cmil: float, field: str = "size") -> Size:
    """The smallest size of at least ``cmil``."""
    for size in SIZES:
        if area_cmil(size) >= cmil - 1e-6:
            return size
    raise InputError(field, f"no size up to {SIZES[-1]} kcmil has {cmil:,.0f} cmil.")


def named(size: str) -> str:
    """ "4 AWG", "1/0 AWG", "250 kcmil"."""
    return f"{size} kcmil" if len(size) == 3 and "/" not in size else f"{size} AWG"
