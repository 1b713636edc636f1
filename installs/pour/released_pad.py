"""What the pour takes from the foundation's newest release."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.jobs.models import DesignRevision, Job
from installs.jobs.standing import in_force


def pad_of(job: Job) -> dict[str, Any] | None:
    """The foundation in force as JSON values; None if none is released."""
    if job.pk is None:
        return None
    revision = in_force(job, "foundation")
    return None if revision is None else pad_in(revision)


def pad_in(revision: DesignRevision) -> dict[str, Any]:
    """Letter, sides, thickness, volume and f'c of a release; what it does not say is None."""
    inputs = revision.inputs
    side, thick = _number(inputs, "side_ft"), _number(inputs, "thickness_ft")
    across = _number(inputs, "other_side_ft") or side
    results = revision.results if isinstance(revision.results, Mapping) else {}
    volume = _number(results, "volume_ft3")
    if volume is None and side is not None and across is not None and thick is not None:
        volume = side * across * thick
    return {
        "letter": revision.letter,
        "width_ft": side,
        "across_ft": across,
        "thickness_in": thick * 12 if thick is not None else None,
        "volume_ft3": volume,
        "fc_psi": _number(inputs, "fc_psi"),
    }


def _number(values: Mapping[str, Any], name: str) -> float | None:
    value = values.get(name)
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None
