"""How far each phase of a job is: one rule for job book, look-ahead and phone."""

from __future__ import annotations

from enum import StrEnum

from installs.gates.job_facts import JobFacts
from installs.jobs.phases import PHASES, Phase


class Standing(StrEnum):
    DONE = "done"
    UNDER_WAY = "under way"
    TO_COME = "to come"


def phase_states(facts: JobFacts) -> dict[str, Standing]:
    """State of every phase by its key, in the order of the phases: by start and finish, or by its facts."""
    return {phase.key: _state(phase, facts) for phase in PHASES}


def _state(phase: Phase, facts: JobFacts) -> Standing:
    if phase.by_facts:
        return _BY_FACTS[phase.key](facts)
    if phase.key in facts.finished:
        return Standing.DONE
    return Standing.UNDER_WAY if phase.key in facts.started else Standing.TO_COME


def _survey(facts: JobFacts) -> Standing:
    """Surveyed when the site is released, or when work has begun that stands on it. It waits for nothing."""
    begun = facts.started - {"survey", "permits"}
    return Standing.DONE if facts.site_released or begun else Standing.UNDER_WAY


def _permits(facts: JobFacts) -> Standing:
    """The gate of the excavation asks for them: once dug, they are behind; those of the utility run on."""
    if "excavation" in facts.started:
        return Standing.DONE
    return Standing.UNDER_WAY if facts.permits else Standing.TO_COME


def _cure(facts: JobFacts) -> Standing:
    """Done when the cure is judged ready, and not by a tower that stands on it already."""
    if facts.cure is None or not facts.cure.poured:
        return Standing.TO_COME
    return Standing.DONE if facts.cure.ready else Standing.UNDER_WAY


_BY_FACTS = {"survey": _survey, "permits": _permits, "cure": _cure}
