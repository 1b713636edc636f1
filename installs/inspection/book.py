"""Meters in the job book: what was produced, at the phase of maintenance."""

from __future__ import annotations

from datetime import datetime

from installs.inspection.production import production_of, production_svg
from installs.jobs.models import Job

WIDE_PX, NARROW_PX, HIGH_PX = 500.0, 300.0, 120.0


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """Empty before two readings; ``narrow`` for a phone."""
    production = production_of(job)
    if not production.spans:
        return ""
    return production_svg(production, wide_px=NARROW_PX if narrow else WIDE_PX, high_px=HIGH_PX)
