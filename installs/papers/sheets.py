"""Sheets that belong to no part: the checklists' paper copies."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError

from installs.checklists.paper_sheets import copy_sheets
from installs.checklists.state import list_states
from installs.jobs.models import DesignRevision, Job

HANDED_OVER = "handover"  # the list by which the owner is given the installation


def checklists_sheet(job: Job, revision: DesignRevision | None) -> list[dict[str, Any]]:
    """Each list by its lines, and behind it the table that goes with it: filled in by hand, and keyed in."""
    states = list_states(job, job.lists.order_by("pk"))
    if not states:
        raise ValidationError("The checklists are not copied into this job yet.")
    return [
        {
            **sheet,
            "sheet": f"N-{place}.{behind}" if behind else f"N-{place}",
            "hands_over": state.list.key == HANDED_OVER and not behind,
        }
        for place, state in enumerate(states, start=1)
        for behind, sheet in enumerate(copy_sheets(job, state))
    ]
