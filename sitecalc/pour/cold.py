"""Cold weather: what the concrete is mixed and kept at, thawed ground, protection, accelerator.

Cold is when the air has fallen, or is expected to fall, under 40 F while the concrete is protected
(ACI 306R-16; the definition read in an abstract).
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from sitecalc.checks import Check, Known, compare, not_checked
from sitecalc.inputs import quantity, require_valid

Accelerator = Literal["none", "no chloride", "chloride"]
TABLE = Path(__file__).parents[1] / "tables" / "cold_weather.csv"
SOURCE = "ACI 306R-16 table 5.1"
PROTECTION_SOURCE = "ACI 306R-16 table 7.1, partial load and exposed"
COLD_AIR_F, FREEZING_F = 40.0, 32.0
ABOVE_PLACED_F, ABOVE_MIXED_F = 20.0, 15.0  # no hotter: read in a fragment of an ACI 306R note
PROTECTION_DAYS, PROTECTION_DAYS_ACCELERATED = 6.0, 4.0


@dataclass(frozen=True)
class Section:
    """One row of the table, F."""

    up_to_in: float
    as_placed_f: float
    mixed_above_30_f: float
    mixed_0_to_30_f: float
    mixed_below_0_f: float
    cooling_24_h_f: float
    known: Known

    @property
    def words(self) -> str:
        size = f"up to {self.up_to_in:g} in" if math.isfinite(self.up_to_in) else "over 72 in"
        return (
            f"{SOURCE}, section {size} ({Known.MEMORY})"
            if self.known is Known.MEMORY
            else f"{SOURCE}, {size}"
        )


@cache
def sections() -> tuple[Section, ...]:
    lines = TABLE.read_text(encoding="utf-8").splitlines()
    rows = csv.reader(line for line in lines if not line.startswith("#"))
    next(rows)
    return tuple(
        Section(
            math.inf if up_to == "over" else float(up_to), float(placed), float(above_30), float(above_0),
            float(below_0), float(cooling), Known(known),
        )
        for up_to, placed, above_30, above_0, below_0, cooling, known in rows
    )  # fmt: skip


def section_of(least_dimension_in: float) -> Section:
    """The row of a section: "under 12 in", "12 to 36 in", "over 36 to 72 in", "over 72 in"."""
    first, *rest = sections()
    if least_dimension_in < first.up_to_in:
        return first
    return next(row for row in rest if least_dimension_in <= row.up_to_in)


def least_as_placed(least_dimension_in: float) -> float:
    """Least concrete temperature as placed and maintained, F."""
    return section_of(least_dimension_in).as_placed_f


def as_mixed(least_dimension_in: float, air_f: float) -> tuple[float, float]:
    """Concrete temperature at the plant in cold weather, F: at least, and at most 15 F more."""
    row = section_of(least_dimension_in)
    if air_f > 30:
        least = row.mixed_above_30_f
    else:
        least = row.mixed_0_to_30_f if air_f >= 0 else row.mixed_below_0_f
    return least, least + ABOVE_MIXED_F


@dataclass(frozen=True)
class ColdCase:
    """What is not known is left out; it is not checked and counts as not passing."""

    least_dimension_in: float = quantity("in", "least dimension of the section", low=3, high=240)
    air_f: float | None = quantity(
        "F", "lowest air, recorded or forecast for the next three nights", low=-60, high=130, default=None
    )
    ground_f: float | None = quantity("F", "ground under the pad", low=-40, high=120, default=None)
    form_f: float | None = quantity("F", "forms", low=-40, high=120, default=None)
    steel_f: float | None = quantity("F", "reinforcement and anchors", low=-40, high=120, default=None)
    protection_days: float = quantity("days", "days kept protected", low=0, high=90, default=6.0)
    accelerator: Accelerator = quantity("", "none, no chloride, or chloride", default="none")


@dataclass(frozen=True)
class Cold:
    """``cold`` is None while the air is not known. Ranges in F."""

    cold: bool | None
    as_placed_f: tuple[float, float]
    as_mixed_f: tuple[float, float] | None
    cooling_24_h_f: float
    checks: tuple[Check, ...]


def cold_weather(case: ColdCase) -> Cold:
    """Limits of the section in the weather, and checks of ground, form, steel, protection, accelerator."""
    require_valid(case)
    cold = None if case.air_f is None else case.air_f < COLD_AIR_F
    row = section_of(case.least_dimension_in)
    checks = [accelerator_check(case.accelerator)]
    if cold is not False:
        checks += [*thawed(case.ground_f, case.form_f, case.steel_f), _protection(case, cold)]
    return Cold(
        cold,
        (row.as_placed_f, row.as_placed_f + ABOVE_PLACED_F),
        as_mixed(case.least_dimension_in, case.air_f) if cold and case.air_f is not None else None,
        row.cooling_24_h_f,
        tuple(checks),
    )


def accelerator_check(accelerator: Accelerator) -> Check:
    chloride = accelerator == "chloride"
    words = {
        "none": "none ordered",
        "no chloride": "without chlorides, ASTM C494 type C or E",
        "chloride": "with chlorides; they rust the steel and the anchor bolts",
    }
    return compare(
        "accelerator", "Accelerator", demand=1 if chloride else 0, capacity=0 if chloride else 1, unit="",
        source="no chlorides beside embedded steel", known=Known.PRACTICE, note=words[accelerator],
    )  # fmt: skip


def thawed(ground_f: float | None, form_f: float | None, steel_f: float | None) -> tuple[Check, ...]:
    """No concrete on frozen ground, forms or steel: each is over 32 F when the first truck comes."""
    source = "ACI 306R-16, surfaces in contact with the concrete"
    found = []
    for key, title, temp_f in (
        ("ground", "Ground", ground_f),
        ("form", "Forms", form_f),
        ("steel", "Steel", steel_f),
    ):
        if temp_f is None:
            why = f"temperature not read; over {FREEZING_F:g} F is asked"
            found.append(not_checked(key, title, why, source=source, known=Known.MEMORY, unit="F"))
            continue
        over = temp_f > FREEZING_F
        found.append(
            compare(
                key, title, demand=FREEZING_F if over else FREEZING_F + 1, capacity=max(temp_f, 0.1),
                unit="F", source=source, known=Known.MEMORY,
                note=f"{temp_f:g} F, over {FREEZING_F:g} F is asked" + ("" if over else ": thaw it first"),
            )
        )  # fmt: skip
    return tuple(found)


def _protection(case: ColdCase, cold: bool | None) -> Check:
    title, key = "Protection", "protection"
    fast = case.accelerator == "no chloride"
    least = PROTECTION_DAYS_ACCELERATED if fast else PROTECTION_DAYS
    if cold is None:
        why = f"{case.protection_days:g} days; the air of the pour and of three nights is not known"
        return not_checked(key, title, why, source=PROTECTION_SOURCE, known=Known.MEMORY, unit="days")
    return compare(
        key, title, demand=least, capacity=case.protection_days, unit="days", source=PROTECTION_SOURCE,
        known=Known.MEMORY,
        note=f"{case.protection_days:g} days kept, at least {least:g}"
        f"{' with the accelerator' if fast else ''}; under the tower's load until tests show the strength",
    )  # fmt: skip
