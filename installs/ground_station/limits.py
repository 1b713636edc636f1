"""What the released wiring gives to the day's readings: how deep its conduit must lie."""

from __future__ import annotations

from installs.checklists.limits import Limit, Limits
from installs.jobs.models import DesignRevision, Job
from installs.jobs.standing import footings
from sitecalc.ground_station.conduit import COVER

PART, PHASE = "ground_station", "ground station"
TRENCH = "G01"


def limits_of(jobs: list[Job]) -> dict[int, Limits]:
    """Of each job whose wiring is released; the others keep the range of their list."""
    standing = footings(jobs)
    released = {job.pk: standing[job.pk].in_force.get(PART) for job in jobs}
    return {pk: given_by(revision) for pk, revision in released.items() if revision is not None}


def given_by(revision: DesignRevision) -> Limits:
    """The cover that the code asks of its deepest run, in: a reading says of no run that it is another's."""
    asked = [
        check["demand"]
        for check in revision.checks
        if check["key"].endswith(f"-{COVER.key}") and check.get("demand") is not None
    ]
    return {(PHASE, TRENCH): Limit(low=max(asked))} if asked else {}
