"""The phases of an installation: a graph in one table, from survey to maintenance.

A row says after which phases it comes, which skills the crew needs, which checklists belong to it, and the
gate in front of it. Gates are worked out in installs/gates; here they are names. A paper names its phase
itself (installs/papers/catalog.py).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Phase:
    key: str
    title: str
    after: tuple[str, ...]
    skills: tuple[str, ...]
    checklists: tuple[str, ...]
    gate: str | None
    mark: str  # the drafting mark that carries the kind of work (installs/drafting/marks.py)
    starts: str  # what starting it does, as the look-ahead says it
    by_facts: bool = (
        False  # whether it is done is judged from its facts by the gate after it, not by a finish
    )
    crew_works: bool = True  # whether a crew is planned for it: nobody goes out to wait for a permit


LIFT_SKILLS = ("lift director", "rigger", "signal person")

PHASES: tuple[Phase, ...] = (
    Phase("survey", "Survey", (), (), (), None, "survey", "Survey the site", by_facts=True),
    Phase(
        "permits",
        "Permits",
        ("survey",),
        (),
        (),
        None,
        "paper",
        "Send the permit packet",
        by_facts=True,
        crew_works=False,
    ),
    Phase(
        "excavation",
        "Excavation and rebar",
        ("permits",),
        (),
        ("before", "excavation", "forming"),
        "excavation",
        "earth",
        "Dig the pad and tie the steel",
    ),
    Phase("pour", "Pour", ("excavation",), (), ("pour",), "pour", "concrete", "Pour the pad"),
    Phase(
        "cure",
        "Cure",
        ("pour",),
        (),
        ("cure",),
        None,
        "cure",
        "Let the pad cure",
        by_facts=True,
        crew_works=False,
    ),
    Phase(
        "tower assembly",
        "Tower assembly",
        ("pour",),
        (),
        ("assembly",),
        None,
        "lattice",
        "Bolt the tower together",
    ),
    Phase(
        "ground station",
        "Ground station",
        ("permits",),
        ("electrician",),
        ("rough-in",),
        "ground station",
        "wiring",
        "Wire the ground station",
    ),
    Phase(
        "tower lift",
        "Tower lift",
        ("cure", "tower assembly"),
        LIFT_SKILLS,
        ("tower lift",),
        "tower lift",
        "hook",
        "Lift the tower",
    ),
    Phase(
        "turbine lift",
        "Turbine lift",
        ("tower lift",),
        (*LIFT_SKILLS, "climber"),
        ("turbine lift",),
        "turbine lift",
        "hook",
        "Lift the turbine",
    ),
    Phase(
        "commissioning",
        "Commissioning",
        ("turbine lift", "ground station"),
        ("electrician",),
        ("commissioning",),
        "backfeed",
        "commissioning",
        "Commission the turbine",
    ),
    Phase(
        "maintenance",
        "Maintenance",
        ("commissioning",),
        ("climber",),
        ("handover", "annual"),
        None,
        "maintenance",
        "Inspect and read the meters",
    ),
)

BY_KEY: dict[str, Phase] = {phase.key: phase for phase in PHASES}

# Energizing is four gates, each started on its own within turbine lift and commissioning.
ENERGIZING: dict[str, str] = {
    "rotor up": "Rotor up, braked and locked",
    "backfeed": "Backfeed the ground station",
    "parallel for test": "Run in parallel for the utility's test",
    "operation": "Operate",
}
STARTABLE: tuple[str, ...] = (*BY_KEY, *ENERGIZING)
SITE = "site"  # in place of a phase: all work of a job
# title of the deviation of a pour whose inspection is known by the signed card only
ON_THE_CARD = "pour begun on the inspector's signed card"

GATES: tuple[str, ...] = (
    "excavation",
    "pour",
    "ground station",
    "tower lift",
    "turbine lift",
    *ENERGIZING,
)


def title_of(key: str) -> str:
    return BY_KEY[key].title if key in BY_KEY else ENERGIZING[key]


def gate_of(key: str) -> str | None:
    """The gate in front of a phase or an energizing step; None if it has none."""
    return BY_KEY[key].gate if key in BY_KEY else key
