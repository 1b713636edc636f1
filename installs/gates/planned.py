"""The crew days of jobs, as whoever plans them gives them: they forecast gates, and say which day one is of.

The plan is kept above this room: it says once, when the program starts, how its days are read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from installs.gates.job_facts import CrewDates
from installs.jobs.models import Job
from installs.jobs.reading import read_once

# by the key of the job, by phase
Planned = dict[int, dict[str, CrewDates]]
LOADERS: list[Callable[[Iterable[Job]], Planned]] = []
# of a job what changes when its crew days do, for what is kept of jobs (installs/jobs/kept.py)
ENDS: list[Callable[[], Any]] = []


def planned_by(load: Callable[[Iterable[Job]], Planned], end: Callable[[], Any]) -> None:
    """``load`` reads the crew days of many jobs in one query.

    ``end`` gives an expression of a job that changes with them.
    """
    if load not in LOADERS:
        LOADERS.append(load)
        ENDS.append(end)


@read_once
def planned_days(jobs: list[Job]) -> Planned:
    """Of jobs without crew days nothing."""
    found: Planned = {job.pk: {} for job in jobs}
    for load in LOADERS:
        found.update(load(jobs))
    return found
