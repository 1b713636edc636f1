"""The next-day sheet: every crew day of the next date with crew days, and what must be confirmed for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from crew.morning.office import JobMorning, Morning
from crew.plan.models import CraneBooking, CrewDay
from installs.gates.rules import GateState, gate
from installs.jobs.phases import BY_KEY, Phase

# What the office confirms by phone the day before: common practice, no source.
CONFIRM: dict[str, tuple[str, ...]] = {
    "excavation": (
        "Locate ticket in date, marks visible",
        "Excavator and operator",
        "Rebar, chairs, anchor bolts and template on site or coming",
        "Owner knows the crew comes",
    ),
    "pour": (
        "Plant: mix, yards, first truck, spacing, last yards by phone",
        "Inspector has been, or comes before the first truck",
        "Lab: who makes the cylinders, field set beside the pad",
        "Weather: air tonight and three nights; blankets and heat, or shade and water",
        "Template, vibrator and a spare",
    ),
    "tower assembly": (
        "Tower sections, bolts and cribbing on site",
        "Wrench in calibration, range right",
        "Second person for the check",
    ),
    "ground station": (
        "Electrician",
        "Conductor, conduit, boxes on site",
        "Rough-in inspection called before cover",
    ),
    "tower lift": (
        "Crane and operator, road and pad dry",
        "Gust forecast at the boom tip against the lift plan",
        "Operator's, rigger's and signal person's cards on the day",
        "Lift card printed, plan signed",
        "Strength notice with the plan",
        "Neighbors and owner keep out of the circle",
    ),
    "turbine lift": (
        "Crane and operator",
        "Gust forecast at the boom tip against the limit for rotor and blades",
        "Brake and rotor lock, climbers' rescue kit",
        "Lift card printed, plan signed",
    ),
    "commissioning": ("Utility's witness", "Electrician", "Settings file", "Wind for the run"),
}


@dataclass(frozen=True)
class Sheet:
    day: CrewDay
    morning: JobMorning
    phase: Phase
    gate: GateState | None
    clashes: tuple[str, ...]
    confirm: tuple[str, ...]
    crane: str = ""  # which, whether it is booked, until when it can be cancelled, whom to call


def next_date(morning: Morning) -> date | None:
    """The next date after today with standing crew days."""
    ahead = [d.on for m in morning.jobs for d in m.standing if d.on > morning.today]
    return min(ahead, default=None)


def sheets(morning: Morning, on: date) -> list[Sheet]:
    found = []
    booked = list(CraneBooking.objects.standing().filter(first_on__lte=on, last_on__gte=on))
    for m in morning.jobs:
        for day in (d for d in m.standing if d.on == on):
            phase = BY_KEY[day.phase]
            asked = phase.gate if day.phase not in m.facts.started else None
            state = gate(asked, m.facts, on, today=morning.today) if asked else None
            said = state.unfit if state else ()  # the gate's sentence has them
            words = tuple(c.sentence for c in m.clashes if day.pk in c.days and c.sentence not in said)
            found.append(Sheet(day, m, phase, state, words, CONFIRM.get(day.phase, ()), _crane(day, booked)))
    return found


def _crane(day: CrewDay, booked: Sequence[CraneBooking]) -> str:
    if day.crane is None:
        return ""
    found = next((b for b in booked if b.crane_id == day.crane_id), None)
    if found is None:
        return f"{day.crane}{', not booked' if day.crane.owner_firm else ''}."
    until = f", cancel by {found.cancel_by}" if found.cancel_by else ""
    call = f", {found.phone}" if found.phone else ""
    return f"{day.crane}, {found.state} {found.dates}{until}{call}."
