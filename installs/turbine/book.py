"""The turbine in the job book: the curve it is expected to follow."""

from __future__ import annotations

from datetime import datetime

from installs.jobs.models import Job
from installs.jobs.standing import in_force
from installs.turbine.drawing import curve_svg
from installs.turbine.machine import machine_of
from installs.turbine.models import TurbineDesign


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """Power curve of the released machine, or of the draft's before there is one; ``narrow`` for a phone."""
    revision = in_force(job, "turbine")
    if revision is not None:
        machine = machine_of(revision.inputs["machine"])
    else:
        draft = TurbineDesign.objects.filter(job=job).select_related("model").first()
        machine = machine_of(draft.model.figures()) if draft and draft.model else None
    return (
        curve_svg(machine, width_in=3.1 if narrow else 5.4, height_in=1.5)
        if machine and machine.curve
        else ""
    )
