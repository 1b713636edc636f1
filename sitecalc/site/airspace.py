"""Notice to the FAA: 200 ft above ground and the surfaces that rise from runways. 14 CFR 77.9.

Not covered, and said so: traverse ways (77.9(c)), instrument approach areas, state and local airport zoning.
A runway's class follows from the longest runway of its airport, the distance from its own nearest point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula
from sitecalc.inputs import quantity, require_valid
from sitecalc.site.figures import Runway, SiteFigures
from sitecalc.site.words import Use

RULE = "14 CFR 77.9(a), (b) and 77.7(b): FAA Form 7460-1, 45 days before construction or permit filing"
NOTICE = Rule("airspace", "Airspace notice", "ft", RULE, Known.READ)
SURFACE = Formula("H", "height without notice", "z_runway+d/s-z_site", "ft")
HEIGHT_LIMIT_FT = 200.0
LONG_RUNWAY_FT = 3200.0
FARTHEST_FT = 20_000.0


@dataclass(frozen=True, kw_only=True)
class AirspaceCase:
    """What rises how high, and the runways near it."""

    what: str = quantity("", "what rises: the turbine, a crane", default="turbine")
    height_ft: float = quantity("ft", "highest point above ground, blade tip", low=1, high=700)
    ground_ft: float | None = same_as(SiteFigures, "elevation_ft")
    runways: tuple[Runway, ...] = same_as(SiteFigures, "runways")
    all_listed: bool = same_as(SiteFigures, "airports_listed")
    determined_ft: float | None = same_as(SiteFigures, "determined_ft")
    determination: str = same_as(SiteFigures, "determination")


@dataclass(frozen=True)
class Airspace:
    """``allowed_ft`` is the height above ground without notice, None where it is not known.

    ``notice`` is None while not known. ``governs`` names the rule or runway that sets ``allowed_ft``.
    """

    notice: bool | None
    allowed_ft: float | None
    governs: str
    checks: tuple[Check, ...]


def surface(use: Use, longest_ft: float | None) -> tuple[float, float]:
    """(slope as feet out for one foot up, reach in ft) from the longest runway in ft.

    100 to 1 to 20,000 ft over 3,200 ft, 50 to 1 to 10,000 ft, heliports 25 to 1 to 5,000 ft. Unknown length:
    the widest surface is taken. 14 CFR 77.9(b).
    """
    if use == "heliport":
        return 25.0, 5_000.0
    if longest_ft is None or longest_ft > LONG_RUNWAY_FT:
        return 100.0, FARTHEST_FT
    return 50.0, 10_000.0


def airspace(case: AirspaceCase) -> Airspace:
    """Whether notice must be given before this stands, and the height in ft above ground without it.

    The least of 200 ft and z_runway + d / s - z_site of every runway within its reach. Not covered: traverse
    ways, instrument approach areas, state and local zoning. 14 CFR 77.9(a), (b). InputError for figures out
    of range.
    """
    require_valid(case)
    allowed, governs, steps, unknown = _lowest_surface(case)
    if case.height_ft > allowed:
        return Airspace(True, allowed, governs, (_notice_check(case, allowed, governs, steps),))
    if unknown and case.determined_ft is not None:
        # the FAA has looked at it already, whatever is not known here
        return Airspace(None, None, "", (_notice_check(case, None, "", steps),))
    if unknown:
        why = f"{' '.join(unknown)} Unknown is never clear."
        return Airspace(None, None, "", (_rule(case).open(why),))
    height, most = readable(case.height_ft), readable(allowed)
    note = f"{_capital(case.what)} {height} of {most} ft without notice, by the {governs}."
    check = _rule(case).compare(demand=case.height_ft, capacity=allowed, note=note, case=governs, steps=steps)
    return Airspace(False, allowed, governs, (check,))


def _lowest_surface(case: AirspaceCase) -> tuple[float, str, tuple[Step, ...], list[str]]:
    """Height allowed without notice by what is known, and in sentences what is not."""
    allowed, governs, steps = HEIGHT_LIMIT_FT, "200 ft rule", []
    unknown = [] if case.all_listed else ["Airports within 20,000 ft are not said to be all listed."]
    for runway in case.runways:
        slope, reach = surface(runway.use, runway.longest_ft)
        if runway.distance_ft is None:
            unknown.append(f"Distance to {runway.name} is not given.")
            continue
        if runway.distance_ft > reach:
            continue
        if runway.elevation_ft is None or case.ground_ft is None:
            unknown.append(
                f"Elevation at {'the tower' if case.ground_ft is None else runway.name} is not given."
            )
            continue
        height = SURFACE.step_of(
            f"height without notice by {runway.name}, {slope:g} to 1",
            z_runway=runway.elevation_ft,
            d=runway.distance_ft,
            s=slope,
            z_site=case.ground_ft,
        )
        steps.append(height)
        if height.value < allowed:
            allowed, governs = height.value, f"{slope:g} to 1 surface of {runway.name}"
    return allowed, governs, tuple(steps), unknown


def _notice_check(case: AirspaceCase, allowed: float | None, governs: str, steps: tuple[Step, ...]) -> Check:
    """Notice is needed; only a determination that covers the height lets it pass."""
    over = f"{_capital(case.what)} {readable(case.height_ft)} ft"
    if allowed is not None and allowed >= 0:
        over += f" exceeds {readable(allowed)} ft by the {governs}"
    elif allowed is not None:
        over += f", on ground {readable(-allowed)} ft above the {governs}"
    if case.determined_ft is None:
        note = f"{over}: file notice at least 45 days before construction or permit filing."
    else:
        study = f", {case.determination}" if case.determination else ""
        note = f"{over}; the FAA's determination{study} covers {readable(case.determined_ft)} ft."
    covered = case.determined_ft if case.determined_ft is not None else allowed
    capacity = covered if covered is not None else math.nan
    return _rule(case).compare(demand=case.height_ft, capacity=capacity, note=note, case=governs, steps=steps)


def _rule(case: AirspaceCase) -> Rule:
    """The rule for the turbine, or by its name for what else rises."""
    if case.what == "turbine":
        return NOTICE
    named = f"airspace-{case.what.lower().replace(' ', '-')}"
    return NOTICE.stated(key=named, title=f"Airspace notice, {case.what}")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
