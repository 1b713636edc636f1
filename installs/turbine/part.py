"""The turbine as a row of the table of parts."""

from __future__ import annotations

from functools import partial

from installs.jobs.parts import Part, Sheet
from installs.turbine.book import strip
from installs.turbine.labels import labels
from installs.turbine.materials import lines
from installs.turbine.models import TurbineDesign
from installs.turbine.review import review
from installs.turbine.sheets import equipment, turbine_sheet

PART = Part(
    key="turbine",
    room="turbine",
    title="Turbine",
    page="turbine",
    sheet="M",
    phase="turbine lift",
    draft=TurbineDesign,
    review=review,
    sheets=(Sheet("turbine", turbine_sheet),),
    labels=partial(labels, "machine"),
    equipment=equipment,
    materials=lines,
    strip=strip,
    strip_at=("commissioning",),
)
