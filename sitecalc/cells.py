"""A number that was typed or stands in a file, held to the declaration of its figure, in one set of words.

Forms, rows of a table and files that are read say the same of the same number, because they ask here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from sitecalc.figures import Figure, declared
from sitecalc.inputs import InputError
from sitecalc.wording import quantity_words

NUMBER = re.compile(r"[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]{1,4})?", re.ASCII)
THOUSANDS = re.compile(r"[-+]?[0-9]{1,3}(,[0-9]{3})+(?![0-9,])", re.ASCII)
LONGEST_NUMBER = 40
MOST_QUOTED = 20  # letters of a cell that an error quotes

# by unit of the figure: what else a person may have typed in, and what one of it is in the figure's unit
OTHER_UNITS: dict[str, tuple[tuple[str, float], ...]] = {
    "ft": (("inches", 1 / 12), ("millimeters", 1 / 304.8), ("meters", 1 / 0.3048)),
    "in": (("feet", 12), ("millimeters", 1 / 25.4)),
    "kip": (("pounds", 0.001),),
    "lb": (("kips", 1000), ("tons", 2000)),
    "kip-ft": (("foot-pounds", 0.001),),
    "ft-lb": (("inch-pounds", 1 / 12),),
    "psi": (("ksi", 1000),),
    "psf": (("ksf", 1000),),
    "yd3": (("cubic feet", 1 / 27),),
    "kW": (("W", 0.001),),
    "%": (("a fraction of one", 100),),
}


def figure_named(row: type, name: str) -> Figure:
    """The declared figure or column ``name`` of a part's dataclass or of a row."""
    return next(figure for figure in declared(row) if figure.name == name)


def outside(
    value: float, low: float | None, high: float | None, unit: str, *, unit_said: bool = False
) -> str:
    """ "5 ft is too small; at least 6 ft."; "" for a number in the range, whose ends belong to it.

    It asks whether another unit was meant, unless who gave the number said its unit.
    """
    asked = "" if unit_said else _slip(value, low, high, unit)
    given = quantity_words(value, unit)
    if low is not None and value < low:
        return f"{given} is too small; at least {quantity_words(low, unit)}.{asked}"
    if high is not None and value > high:
        return f"{given} is too large; at most {quantity_words(high, unit)}.{asked}"
    return ""


def _slip(value: float, low: float | None, high: float | None, unit: str) -> str:
    """A hint where the number would fit in another unit: inches typed into a field of feet."""
    for other, factor in OTHER_UNITS.get(unit, ()):
        meant = value * factor
        if (low is None or meant >= low) and (high is None or meant <= high):
            return f" Typed in {other}? That would be {meant:.4g} {unit}."
    return ""


def number_in(cell: str) -> float:
    """The number that a cell says, NaN for none: digits, a point, thousands as 1,200, a power of ten."""
    text = cell.strip().replace("−", "-")
    if len(text) > LONGEST_NUMBER or ("," in text and not THOUSANDS.match(text)):
        return math.nan
    text = text.replace(",", "")
    value = float(text) if NUMBER.fullmatch(text) else math.nan
    return value if math.isfinite(value) else math.nan


def figure_in(
    cell: str, figure: Figure, *, unit: str = "", turned: Callable[[float], float] | None = None
) -> float:
    """The figure that a cell says, in the figure's own unit.

    ``unit`` and ``turned`` where the file has another: its name, and what makes the figure of its number.
    InputError at the figure for no number and for one out of the declared range.
    """
    given = number_in(cell)
    if math.isnan(given):
        raise InputError(figure.name, f"{cell.strip()[:MOST_QUOTED] or 'empty'} is not a number.")
    value = turned(given) if turned else given
    if words := outside(value, figure.low, figure.high, figure.counted, unit_said=turned is not None):
        raise InputError(figure.name, f"{quantity_words(given, unit)} or {words}" if turned else words)
    if figure.more.get("whole") and value != round(value):
        raise InputError(figure.name, f"{value:g} is not a whole number.")
    return value
