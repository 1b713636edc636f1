"""Sound of the machine by distance, from the level on its rating label."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula
from sitecalc.inputs import quantity, require_valid
from sitecalc.site.figures import SiteFigures
from sitecalc.site.words import SoundAt

RULE = "AWEA 9.1-2009 rated sound level at 60 m, spreading with 20 log of the slant distance"

SOUND = Rule("noise", "Sound", "dBA", RULE, Known.MEMORY)
SLANT = Formula("r", "slant distance from the rotor's center", "sqrt(d**2+(h_hub-h_ear)**2)", "ft")
LEVEL = Formula("L", "level there", "L60+20*log10(60/(0.3048*r))", "dBA")


@dataclass(frozen=True, kw_only=True)
class NoiseCase:
    """The rated level is the one not exceeded 95 % of the time at a mean of 5 m/s, 60 m from the rotor."""

    rated_dba: float | None = quantity("dBA", "rated sound level at 60 m", low=20, high=90, default=None)
    hub_ft: float = quantity("ft", "hub above grade", low=15, high=300)
    distance_ft: float | None = quantity(
        "ft", "tower to the place the ordinance measures at", low=0, high=30_000, default=None
    )
    ear_ft: float = quantity("ft", "ear above grade there", low=0, high=50, default=5.0)
    place: SoundAt = same_as(SiteFigures, "sound_at")
    limit_dba: float | None = same_as(SiteFigures, "sound_limit_dba")
    limit_source: str = same_as(SiteFigures, "sound_ordinance")


@dataclass(frozen=True)
class Noise:
    """``level_dba`` is None where the rating or the distance is not given."""

    level_dba: float | None
    slant_ft: float | None
    checks: tuple[Check, ...]


def level_at(rated_dba: float, slant_ft: float) -> float:
    """Level in dBA at a slant distance in ft from the rotor's center, from the rated level in dBA.

    L = L60 + 20 log10(60 m / r). Free field, no ground or wind. AWEA 9.1-2009 (from memory).
    """
    return LEVEL.value(L60=rated_dba, r=slant_ft)


def energy_sum(levels: Iterable[float]) -> float:
    """Level in dBA of several sources in one place, from their levels in dBA.

    10 log10 of the sum of 10^(L/10): sources that do not hang together. Textbook.
    """
    return 10 * math.log10(sum(10 ** (level / 10) for level in levels))


def noise(case: NoiseCase) -> Noise:
    """Level in dBA at the place against the limit; without a rating, a distance or a limit it is not checked.

    As of :func:`level_at`, at the slant distance from the rotor's center to the ear.
    """
    require_valid(case)
    if case.rated_dba is None or case.distance_ft is None:
        what = (
            "The machine's rated sound level" if case.rated_dba is None else f"Distance to the {case.place}"
        )
        return Noise(None, None, (_rule(case).open(f"{what} is not given."),))
    slant = SLANT.step(d=case.distance_ft, h_hub=case.hub_ft, h_ear=case.ear_ft)
    level = LEVEL.step(L60=case.rated_dba, r=slant.value)
    said = f"{level.value:.1f} dBA at the {case.place}, {case.distance_ft:g} ft off"
    if case.limit_dba is None:
        check = _rule(case).open(f"{said}; the ordinance's limit is not given.")
    else:
        check = _rule(case).compare(
            demand=level.value,
            capacity=case.limit_dba,
            note=f"{said}, limit {case.limit_dba:g} dBA.",
            steps=(slant, level),
        )
    return Noise(level.value, slant.value, (check,))


def _rule(case: NoiseCase) -> Rule:
    """The rule with the ordinance that sets the limit."""
    return SOUND.stated(source=f"{RULE}; {case.limit_source}") if case.limit_source else SOUND
