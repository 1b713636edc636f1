"""Energy between meter readings, from register differences."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from installs.inspection.models import MeterReading


@dataclass(frozen=True)
class Span:
    """Between two readings. ``self_used_kwh`` = production - export; None where a register is missing."""

    first_on: date
    last_on: date
    production_kwh: float
    import_kwh: float | None
    export_kwh: float | None

    @property
    def days(self) -> int:
        return (self.last_on - self.first_on).days

    @property
    def self_used_kwh(self) -> float | None:
        return None if self.export_kwh is None else self.production_kwh - self.export_kwh


def spans(readings: Iterable[MeterReading]) -> list[Span]:
    """Register differences between neighboring standing readings; a register that fell back gives no span."""
    readings = list(readings)
    corrected = {r.corrects_id for r in readings}
    rows = sorted((r for r in readings if r.pk not in corrected), key=lambda r: (r.read_on, r.pk))
    found = []
    for a, b in pairwise(rows):
        if b.production_kwh >= a.production_kwh and b.read_on > a.read_on:
            found.append(
                Span(
                    a.read_on,
                    b.read_on,
                    b.production_kwh - a.production_kwh,
                    _difference(a.import_kwh, b.import_kwh),
                    _difference(a.export_kwh, b.export_kwh),
                )
            )
    return found


def _difference(before: float | None, after: float | None) -> float | None:
    return None if before is None or after is None or after < before else after - before
