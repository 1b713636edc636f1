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

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.figures import PourFigures
from sitecalc.pour.words import Accelerator

TABLE = Path(__file__).parents[1] / "tables" / "cold_weather.csv"
SOURCE = "ACI 306R-16 table 5.1"
PROTECTION_SOURCE = "ACI 306R-16 table 7.1, partial load and exposed"
COLD_AIR_F, FREEZING_F = 40.0, 32.0
ABOVE_PLACED_F, ABOVE_MIXED_F = 20.0, 15.0  # no hotter: read in a fragment of an ACI 306R note
PROTECTION_DAYS, PROTECTION_DAYS_ACCELERATED = 6.0, 4.0
# snow and ice: PCA, Design and Control of Concrete Mixtures, chapter 14; frozen ground: Masonry and Concrete
# (McGraw-Hill, 2004), p. 77
THAWED = "ACI 306R-16, surfaces in contact with the concrete"

ACCELERATOR = Rule("accelerator", "Accelerator", "", "no chlorides beside embedded steel", Known.PRACTICE)
GROUND = Rule("ground", "Ground", "F", THAWED, Known.SECONDARY)
FORM = Rule("form", "Forms", "F", THAWED, Known.SECONDARY)
STEEL = Rule("steel", "Steel", "F", THAWED, Known.SECONDARY)
PLANNED = Rule("protection planned", "Protection planned", "days", PROTECTION_SOURCE, Known.MEMORY)
PROTECTION = Rule("protection", "Protection", "days", PROTECTION_SOURCE, Known.MEMORY)


@dataclass(frozen=True, kw_only=True)
class Section:
    """One row of the table, F; ``known`` is of all but ``as_placed_f``, which was read for every row."""

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
            f"{SOURCE}, section {size} ({self.known.words})"
            if self.known is Known.MEMORY
            else f"{SOURCE}, {size}"
        )


@cache
def sections() -> tuple[Section, ...]:
    """Rows of the table by least dimension in inches, temperatures in F. ACI 306R-16 table 5.1."""
    lines = TABLE.read_text(encoding="utf-8").splitlines()
    rows = csv.reader(line for line in lines if not line.startswith("#"))
    next(rows)
    return tuple(
        Section(
            up_to_in=math.inf if up_to == "over" else float(up_to),
            as_placed_f=float(placed),
            mixed_above_30_f=float(above_30),
            mixed_0_to_30_f=float(above_0),
            mixed_below_0_f=float(below_0),
            cooling_24_h_f=float(cooling),
            known=Known(known),
        )
        for up_to, placed, above_30, above_0, below_0, cooling, known in rows
    )


def section_of(least_dimension_in: float) -> Section:
    """The row of a section by its least dimension in inches.

    "Under 12 in", "12 to 36 in", "over 36 to 72 in", "over 72 in". ACI 306R-16 table 5.1.
    """
    first, *rest = sections()
    if least_dimension_in < first.up_to_in:
        return first
    return next(row for row in rest if least_dimension_in <= row.up_to_in)


def least_as_placed(least_dimension_in: float) -> float:
    """Least concrete temperature as placed and maintained, F, by the section's least dimension in inches.

    ACI 306R-16 table 5.1.
    """
    return section_of(least_dimension_in).as_placed_f


def as_mixed(least_dimension_in: float, air_f: float) -> tuple[float, float]:
    """Concrete temperature at the plant in cold weather, F: at least, and at most 15 F more.

    least_dimension_in, air_f
        least dimension of the section, in; air, F.

    ACI 306R-16 table 5.1 (part of it from memory).
    """
    row = section_of(least_dimension_in)
    if air_f > 30:
        least = row.mixed_above_30_f
    else:
        least = row.mixed_0_to_30_f if air_f >= 0 else row.mixed_below_0_f
    return least, least + ABOVE_MIXED_F


@dataclass(frozen=True, kw_only=True)
class ColdCase:
    """What is not known is left out; it is not checked and counts as not passing."""

    least_dimension_in: float = same_as(PourFigures, "least_dimension_in", required=True)
    air_f: float | None = quantity(
        "F", "lowest air, recorded or forecast for the next three nights", low=-60, high=130, default=None
    )
    ground_f: float | None = quantity("F", "ground under the pad", low=-40, high=120, default=None)
    form_f: float | None = quantity("F", "forms", low=-40, high=120, default=None)
    steel_f: float | None = quantity("F", "reinforcement and anchors", low=-40, high=120, default=None)
    protection_days: float = same_as(PourFigures, "protection_days")
    kept_days: float | None = quantity(
        "days",
        "days from the placing on of which every reading was warm enough",
        low=0,
        high=2000,
        default=None,
    )
    fell: bool = quantity("", "a reading ended them that was colder", default=False)
    accelerator: Accelerator = same_as(PourFigures, "accelerator")


@dataclass(frozen=True, kw_only=True)
class Cold:
    """``cold`` is None while the air is not known. Ranges in F."""

    cold: bool | None
    as_placed_f: tuple[float, float]
    as_mixed_f: tuple[float, float] | None
    cooling_24_h_f: float
    checks: tuple[Check, ...]


def cold_weather(case: ColdCase) -> Cold:
    """Limits of the section in the weather (F), and checks of ground, form, steel, protection, accelerator.

    Cold where the air is under 40 F; while it is not known, what cold asks stays open. ACI 306R-16.
    """
    require_valid(case)
    cold = None if case.air_f is None else case.air_f < COLD_AIR_F
    row = section_of(case.least_dimension_in)
    checks = [accelerator_check(case.accelerator)]
    if cold is not False:
        checks += [*thawed(case.ground_f, case.form_f, case.steel_f), _planned(case, cold)]
        checks.append(_protection(case, cold))
    return Cold(
        cold=cold,
        as_placed_f=(row.as_placed_f, row.as_placed_f + ABOVE_PLACED_F),
        as_mixed_f=as_mixed(case.least_dimension_in, case.air_f) if cold and case.air_f is not None else None,
        cooling_24_h_f=row.cooling_24_h_f,
        checks=tuple(checks),
    )


def accelerator_check(accelerator: Accelerator) -> Check:
    """No chlorides beside embedded steel. Common practice, no source."""
    if accelerator == "none":
        return ACCELERATOR.not_asked("none ordered")
    if accelerator == "chloride":
        return ACCELERATOR.compare(
            demand=1, capacity=0, note="with chlorides; they rust the steel and the anchor bolts"
        )
    return ACCELERATOR.compare(demand=0, capacity=0, note="without chlorides, ASTM C494 type C or E")


def thawed(ground_f: float | None, form_f: float | None, steel_f: float | None) -> tuple[Check, ...]:
    """No concrete on frozen ground, forms or steel, F: each is over 32 F when the first truck comes.

    What is not read is not checked. ACI 306R-16 (read in secondary copies).
    """
    read = ((GROUND, ground_f), (FORM, form_f), (STEEL, steel_f))
    return tuple(_thawed(rule, temp_f) for rule, temp_f in read)


def _thawed(rule: Rule, temp_f: float | None) -> Check:
    if temp_f is None:
        return rule.open(f"temperature not read; over {FREEZING_F:g} F is asked")
    over = temp_f > FREEZING_F
    return rule.compare(
        # at 32 F it may still be ice: more than that is asked
        demand=FREEZING_F if over else FREEZING_F + 1,
        capacity=max(temp_f, 0.1),
        note=f"{temp_f:g} F, over {FREEZING_F:g} F is asked" + ("" if over else ": thaw it first"),
    )


def _least_protection(case: ColdCase) -> tuple[float, str]:
    """Days asked for in the cold, and in words."""
    fast = case.accelerator == "no chloride"
    least = PROTECTION_DAYS_ACCELERATED if fast else PROTECTION_DAYS
    words = f"at least {least:g} days at {least_as_placed(case.least_dimension_in):g} F"
    return least, f"{words} with the accelerator" if fast else words


def _planned(case: ColdCase, cold: bool | None) -> Check:
    """Before the pour: the days that blankets or heat are planned for. What was kept is read afterwards."""
    least, asked = _least_protection(case)
    planned = f"{case.protection_days:g} days planned; {asked}"
    if cold is None:
        return PLANNED.open(f"the air of the pour and of three nights is not known; {planned} in the cold")
    return PLANNED.compare(demand=least, capacity=case.protection_days, note=planned)


def _protection(case: ColdCase, cold: bool | None) -> Check:
    least, asked = _least_protection(case)
    if cold is None:
        return PROTECTION.open(f"the air of the pour and of three nights is not known; in the cold {asked}")
    if case.kept_days is None:
        return PROTECTION.open(f"no concrete temperature is on record; {asked}")
    if case.kept_days < least and not case.fell:
        return PROTECTION.open(f"{case.kept_days:.1f} days read so far; {asked}")
    ended = ", then a colder reading" if case.fell else ""
    return PROTECTION.compare(
        demand=least,
        capacity=case.kept_days,
        note=f"{case.kept_days:.1f} days read warm enough{ended}; {asked}; under the tower's load until "
        "tests show the strength",
    )
