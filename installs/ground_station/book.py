"""The small one-line of the job book."""

from __future__ import annotations

import math
from datetime import datetime

from installs.drafting import to_svg
from installs.ground_station.chain import chain
from installs.ground_station.drawing import strip_drawing
from installs.ground_station.models import GroundStationDesign, released_design
from installs.jobs.models import Job
from installs.jobs.standing import in_force
from sitecalc.ground_station.figures import GroundStationFigures
from sitecalc.ground_station.tables import named

NARROW_PX = 290.0


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """Of the release in force, else of the draft; empty until one is kept. ``narrow`` is for a phone."""
    release = in_force(job, "ground_station")
    if release is not None:
        design = released_design(release.inputs)
    else:
        draft = GroundStationDesign.of(job)
        if draft.pk is None:
            return ""
        design = draft.filled()
    before, after = chain(design)
    return to_svg(strip_drawing([*before, *after], heading(design), NARROW_PX if narrow else math.inf))


def heading(design: GroundStationFigures) -> str:
    """ "450 ft, 1/0 AWG aluminum: 110 ft Tower riser, 340 ft Trench"."""
    if not design.runs:
        return "no runs given yet"
    total = sum(row.length_ft for row in design.runs)
    sizes = ", ".join(dict.fromkeys(f"{named(row.size)} {row.metal}" for row in design.runs))
    parts = ", ".join(f"{row.length_ft:g} ft {row.name[:24]}" for row in design.runs[:4])
    return f"{total:g} ft, {sizes}: {parts}"
