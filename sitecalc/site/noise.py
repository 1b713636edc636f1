"""Sound of the machine by distance, from the level on its rating label."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.inputs import quantity, require_valid
from sitecalc.site.wind import M_PER_FT

RATED_AT_M = 60.0
RULE = "AWEA 9.1-2009 rated sound level at 60 m, spreading with 20 log of the slant distance"


@dataclass(frozen=True, kw_only=True)
class NoiseCase:
    """The rated level is the one not exceeded 95 % of the time at a mean of 5 m/s, 60 m from the rotor."""

    rated_dba: float | None = quantity("dBA", "rated sound level at 60 m", low=20, high=90, default=None)
    hub_ft: float = quantity("ft", "hub above grade", low=15, high=300)
    distance_ft: float | None = quantity(
        "ft", "tower to the place the ordinance measures at", low=0, high=30_000, default=None
    )
    ear_ft: float = quantity("ft", "ear above grade there", low=0, high=50, default=5.0)
    place: str = quantity("", "that place", default="property line")
    limit_dba: float | None = quantity("dBA", "the ordinance's limit there", low=20, high=90, default=None)
    limit_source: str = quantity("", "ordinance and section", default="")


@dataclass(frozen=True)
class Noise:
    """``level_dba`` is None where the rating or the distance is not given."""

    level_dba: float | None
    slant_ft: float | None
    checks: tuple[Check, ...]


def level_at(rated_dba: float, slant_ft: float) -> float:
    """L = L60 + 20 log10(60 m / r), r the slant distance from the rotor's center. Free field."""
    return rated_dba + 20 * math.log10(RATED_AT_M / (slant_ft * M_PER_FT))


def energy_sum(levels: Iterable[float]) -> float:
    """Levels of several sources in one place: 10 log10 of the sum of 10^(L/10)."""
    return 10 * math.log10(sum(10 ** (level / 10) for level in levels))


def noise(case: NoiseCase) -> Noise:
    """Level at the place against the limit; without a rating, a distance or a limit it is not checked."""
    require_valid(case)
    if case.rated_dba is None or case.distance_ft is None:
        what = (
            "The machine's rated sound level" if case.rated_dba is None else f"Distance to the {case.place}"
        )
        return Noise(None, None, (_open(case, f"{what} is not given."),))
    slant = math.hypot(case.distance_ft, case.hub_ft - case.ear_ft)
    level = level_at(case.rated_dba, slant)
    said = f"{level:.1f} dBA at the {case.place}, {case.distance_ft:g} ft off"
    if case.limit_dba is None:
        return Noise(level, slant, (_open(case, f"{said}; the ordinance's limit is not given."),))
    check = compare(
        "noise",
        "Sound",
        demand=level,
        capacity=case.limit_dba,
        unit="dBA",
        note=f"{said}, limit {case.limit_dba:g} dBA.",
        source=_cited(case),
        known=Known.MEMORY,
        steps=(
            Step(
                "r",
                "slant distance from the rotor's center",
                "r = sqrt(d^2 + (h_hub - h_ear)^2)",
                f"sqrt({case.distance_ft:g}^2 + ({case.hub_ft:g} - {case.ear_ft:g})^2)",
                slant,
                "ft",
            ),
            Step(
                "L",
                "level there",
                "L = L60 + 20 log10(60 m / r)",
                f"{case.rated_dba:g} + 20 log10(60 / {slant * M_PER_FT:.1f})",
                level,
                "dBA",
            ),
        ),
    )
    return Noise(level, slant, (check,))


def _open(case: NoiseCase, why: str) -> Check:
    return not_checked("noise", "Sound", why, source=_cited(case), known=Known.MEMORY, unit="dBA")


def _cited(case: NoiseCase) -> str:
    return f"{RULE}; {case.limit_source}" if case.limit_source else RULE
