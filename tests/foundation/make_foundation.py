"""An invented foundation for the tests of this room."""

from __future__ import annotations

from typing import Any

from installs.foundation.models import FoundationDesign
from installs.jobs.drafts import Draft
from installs.jobs.models import DesignRevision, Job
from installs.jobs.old_page import page_of
from installs.jobs.parts import TABLE
from installs.jobs.services import accept_draft_check, release_design
from installs.people.models import User
from tests.make import AT

FIGURES: dict[str, Any] = {
    "side_ft": 17.0,
    "thickness_ft": 4.0,
    "top_above_grade_ft": 0.5,
    "frost_ft": 3.5,
    "cover_lower_in": 3.0,
    "cover_upper_in": 2.0,
    "bars": 24,
    "bar_size": "#8",
    "bar_ends": "90 degree",
    "base": "4 legs",
    "leg_spacing_ft": 8.0,
    "anchor_per_leg": 4,
    "anchor_pattern_in": 9.0,
    "base_plate_in": 1.25,
    "seismic_category": "A",
    "water_ft": 12.0,
    "soil": "SM",
    "dead_kip": 9.5,
    "moment_kip_ft": 520.0,
    "shear_kip": 7.0,
    "torsion_kip_ft": 0.0,
    "load_kind": "ASCE strength level",
}


def make_foundation(job: Job, **other: Any) -> FoundationDesign:
    return FoundationDesign.objects.create(job=job, **{**FIGURES, **other})


def release(draft: Draft, engineer: User) -> DesignRevision:
    """With the engineer's acceptance of each check that does not pass; of any part's draft."""
    found = TABLE[draft.PART].review(draft)
    for check in found.checks:
        if check.needs_answer:
            accept_draft_check(
                draft.job, draft.PART, draft.inputs(), check, "own calculation", by=engineer, at=AT
            )
    return release_design(
        draft.job, draft.PART, draft.inputs(), found.results, found.checks, by=engineer, at=AT
    )


def posted(draft: FoundationDesign, **changes: Any) -> dict[str, Any]:
    """What a browser sends: every figure as text."""
    data: dict[str, Any] = {**page_of(draft)}
    for name, value in draft.value.items():
        if value is True:
            data[name] = "on"
        elif value is not False and value is not None:
            data[name] = str(value)
    return {**data, **{name: value for name, value in changes.items() if value is not None}}
