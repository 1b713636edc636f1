"""Sheets that belong to no part: the checklists' paper copies."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError

from installs.checklists.limits import Limit, limit_of, limits_of
from installs.checklists.models import Item, Weight
from installs.checklists.subjects import Subjects, lines_for, on_paper, subjects_of
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import OnPaper
from sitecalc.checks import readable
from sitecalc.wording import unit_words

HANDED_OVER = "handover"  # the list by which the owner is given the installation


def checklists_sheet(job: Job, revision: DesignRevision | None) -> list[dict[str, Any]]:
    """One sheet a list, its items by their numbers, to be filled in by hand and keyed in later."""
    lists = job.lists.prefetch_related("items").order_by("pk")
    subjects, planned = subjects_of(job), on_paper(job)
    if not lists:
        raise ValidationError("The checklists are not copied into this job yet.")
    limits = limits_of([job])[job.pk]
    return [
        {
            "sheet": f"N-{place}",
            "title": f"Checklist: {kept.title.lower()}",
            "said_note": f"List version {kept.version}. Keyed in later by number.",
            "said": "Paper copy",
            "hands_over": kept.key == HANDED_OVER,
            "items": [_line(item, limit_of(item, limits), subjects, planned) for item in kept.items.all()],
        }
        for place, kept in enumerate(lists, start=1)
    ]


def _line(item: Item, limit: Limit, subjects: Subjects, planned: Mapping[str, OnPaper]) -> dict[str, Any]:
    said = planned[item.code].accepted if item.code in planned else ""
    return {
        "code": item.code,
        "wording": item.wording,
        "signs": item.signs,
        "hold": item.weight == Weight.HOLD,
        "photo": item.photo,
        "accepted": said or accepted_range(limit),
        "lines": lines_for(item, subjects, planned),
        "unit": unit_words(item.unit),
    }


def accepted_range(limit: Limit) -> str:
    """ "3 to 5 in", "at least 0.5 in", "at most 90 F, by lift plan A", or nothing"""
    low, high = limit.least, limit.high
    if low is not None and high is not None and low == -high:
        said = f"±{readable(high)}"
    elif low is not None and high is not None:
        said = f"{readable(low)} to {readable(high)}"
    elif low is not None:
        said = f"at least {readable(low)}"
    elif high is not None:
        said = f"at most {readable(high)}"
    else:
        return ""
    return f"{said} {unit_words(limit.unit)}".strip() + (f", by {limit.plan}" if limit.plan else "")
