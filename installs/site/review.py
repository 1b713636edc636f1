"""Reviews the site: setbacks, obstacles, lines, airspace, sound, wind and energy. Milliseconds.

Hub height, rotor, power curve and sound level are the turbine's draft's, and frozen with a release.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from installs.site.facts import (
    BandFacts,
    EnergyFacts,
    SiteFacts,
    Standing,
    standing_things,
    trench_length_ft,
)
from installs.site.models import SiteDesign
from installs.turbine.machine import Machine, machine_of
from sitecalc.cases import drawn_from, figure_of
from sitecalc.checks import Check, Known, Rule
from sitecalc.figures import read
from sitecalc.inputs import InputError
from sitecalc.site.airspace import AirspaceCase, airspace
from sitecalc.site.energy import Energy, EnergyCase, Losses, annual_energy
from sitecalc.site.figures import SiteFigures
from sitecalc.site.noise import NoiseCase, noise
from sitecalc.site.obstacles import ObstacleRule
from sitecalc.site.siting import SIDES, SetbackRule, SitingCase, siting
from sitecalc.site.wind import HubWind, WindCase, class_check

TURBINE = "turbine's design"
SURVEY = "wind map or measurement for this site"
MACHINE = Rule("turbine", "Turbine", "", TURBINE, Known.PRACTICE)
WIND = Rule("wind", "Wind", "mph", SURVEY, Known.PRACTICE)


@dataclass(frozen=True)
class SiteReview:
    """``results`` is frozen on release; None while no turbine with a hub height is chosen."""

    figures: SiteFigures
    results: SiteFacts | None
    checks: tuple[Check, ...]
    machine: Machine | None
    wind: HubWind | None
    energy: Energy | None


def review(draft: SiteDesign) -> SiteReview:
    return review_figures(draft.inputs())


def review_figures(inputs: Mapping[str, Any]) -> SiteReview:
    """From a draft's or a release's inputs. InputError names the form's field."""
    figures, turbine = read(SiteFigures, inputs), inputs["turbine"]
    machine = machine_of(turbine["machine"]) if turbine else None
    if machine is None or turbine["hub_ft"] is None:
        what = "No turbine is chosen" if machine is None else "The turbine's hub height is not given"
        why = f"{what}; setbacks, wind and energy hang on it."
        open_check = MACHINE.open(why)
        return SiteReview(figures, None, (open_check,), machine, None, None)
    try:
        return _reviewed(figures, machine, turbine["hub_ft"])
    except InputError as error:
        raise _at_field(error) from None


def _at_field(error: InputError) -> InputError:
    """ "things[1].height_ft" at the table, in words; "wind.at_ft" at its own field."""
    head, _, rest = error.field.partition("[")
    if rest:
        row, _, column = rest.partition("].")
        place = f"Row {int(row) + 1}, {column.rsplit('_', 1)[0]} " if column and row.isdigit() else ""
        return InputError(_shown_at(head), f"{place}{error.message}")
    return InputError(_shown_at(error.field), error.message)


def _shown_at(field: str) -> str:
    """The figure that a field of one of the cases is; else the field's own name."""
    shown = (figure_of(case, field) for case in (SitingCase, AirspaceCase, NoiseCase, EnergyCase))
    return next((name for name in shown if name != field), field.rsplit(".", 1)[-1])


def _reviewed(figures: SiteFigures, machine: Machine, hub_ft: float) -> SiteReview:
    things = standing_things(figures.things)
    placed = siting(_siting_case(figures, machine, hub_ft, things))
    in_the_air = airspace(_airspace_case(figures, placed.tip_ft))
    heard = noise(_noise_case(figures, machine, hub_ft, things))
    wind, energy, wind_checks = _wind(figures, machine, hub_ft)
    facts = SiteFacts(
        machine=machine.name,
        hub_ft=hub_ft,
        rotor_diameter_ft=machine.rotor_diameter_ft,
        tip_ft=placed.tip_ft,
        blade_bottom_ft=placed.blade_bottom_ft,
        setback_ft=placed.required_ft,
        line_setback_ft=placed.line_required_ft,
        notice=in_the_air.notice,
        height_without_notice_ft=in_the_air.allowed_ft,
        sound_dba=heard.level_dba,
        sound_at=figures.sound_at,
        hub_mean_mph=wind.mean_mph if wind else None,
        density_kg_m3=wind.density_kg_m3 if wind else None,
        power_density_w_m2=wind.power_density_w_m2 if wind else None,
        energy=_energy_facts(energy) if energy else None,
        trench_ft=trench_length_ft(figures.trench),
    )
    checks = (*placed.checks, *in_the_air.checks, *heard.checks, *wind_checks)
    return SiteReview(figures, facts, checks, machine, wind, energy)


def _siting_case(
    figures: SiteFigures, machine: Machine, hub_ft: float, things: tuple[Standing, ...]
) -> SitingCase:
    return drawn_from(
        SitingCase,
        figures,
        hub_ft=hub_ft,
        diameter_ft=machine.rotor_diameter_ft,
        rule=drawn_from(SetbackRule, figures, source=figures.ordinance.strip()),
        things=things,
        obstacles=drawn_from(ObstacleRule, figures),
    )


def _airspace_case(figures: SiteFigures, tip_ft: float) -> AirspaceCase:
    return drawn_from(AirspaceCase, figures, height_ft=tip_ft, determination=figures.determination.strip())


def _noise_case(
    figures: SiteFigures, machine: Machine, hub_ft: float, things: tuple[Standing, ...]
) -> NoiseCase:
    return drawn_from(
        NoiseCase,
        figures,
        rated_dba=machine.sound_dba,
        hub_ft=hub_ft,
        distance_ft=_listener_ft(figures, things),
        limit_source=figures.sound_ordinance.strip(),
    )


def _listener_ft(figures: SiteFigures, things: tuple[Standing, ...]) -> float | None:
    """To the nearest property line, or neighbor's dwelling; none of those: as far as was looked."""
    if figures.sound_at == "property line":
        sides = [getattr(figures, f"{side}_ft") for side in SIDES]
        return None if None in sides else min(sides)
    theirs = [t.distance_ft for t in things if t.kind == "dwelling" and not t.ours]
    surveyed: float | None = figures.surveyed_ft
    return min(theirs, default=surveyed)


def _wind(
    figures: SiteFigures, machine: Machine, hub_ft: float
) -> tuple[HubWind | None, Energy | None, tuple[Check, ...]]:
    missing = [
        words
        for name, words in (
            ("mean_mph", "mean wind"),
            ("wind_at_ft", "height of the mean wind"),
            ("elevation_ft", "elevation of the ground"),
        )
        if getattr(figures, name) is None
    ]
    if not machine.curve:
        missing.append("the machine's power curve")
    if missing:
        why = f"Not given: {', '.join(missing)}."
        return None, None, (WIND.open(why),)
    case = drawn_from(WindCase, figures, hub_ft=hub_ft)
    energy = annual_energy(
        EnergyCase(
            wind=case,
            curve=machine.points,
            rated_kw=machine.rated_kw,
            diameter_ft=machine.rotor_diameter_ft,
            density_rule=machine.density_rule,
            losses=drawn_from(Losses, figures),
            monthly_mph=figures.monthly[0].means if figures.monthly else (),
        )
    )
    in_class = class_check(energy.wind.mean_mph, machine.iec_class)
    checks = (*energy.checks, *((in_class,) if in_class else ()))
    return energy.wind, energy, checks


def _energy_facts(energy: Energy) -> EnergyFacts:
    return EnergyFacts(
        gross_kwh=energy.gross_kwh,
        kept=energy.kept,
        net_kwh=energy.net_kwh,
        capacity_factor=energy.capacity_factor,
        low_kwh=energy.low_kwh,
        high_kwh=energy.high_kwh,
        monthly_kwh=energy.monthly_kwh,
        bands=_bands(energy),
    )


def _bands(energy: Energy) -> tuple[BandFacts, ...]:
    """Hours and net energy by 5 mph of wind at the hub."""
    bands: dict[int, list[float]] = {}
    for b in energy.bins:
        # a bin belongs to the band that holds its middle
        start = int((b.speed_mph - 0.56) // 5) * 5
        hours_and_energy = bands.setdefault(start, [0.0, 0.0])
        hours_and_energy[0] += b.hours
        hours_and_energy[1] += b.energy_kwh * energy.kept
    return tuple(
        BandFacts(from_mph=start, to_mph=start + 5, hours=hours, kwh=kwh)
        for start, (hours, kwh) in sorted(bands.items())
    )
