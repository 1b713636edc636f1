"""The written acceptance of the concrete; energy between meter readings, from register differences."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from installs.inspection.models import Inspection, InspectionKind, MeterReading
from sitecalc.wording import day_words


@dataclass(frozen=True)
class WrittenAcceptance:
    """``accepted`` is None while nothing on record decides; ``why`` says what keeps it from counting."""

    accepted: bool | None
    why: str = ""


def written_acceptance(visits: Iterable[Inspection]) -> WrittenAcceptance:
    """The newest that decides, of visits in the order of their days.

    A refusal decides whoever wrote it down; a pass only when an engineer wrote it.
    """
    found = WrittenAcceptance(None)
    for visit in visits:
        if visit.kind != InspectionKind.CONCRETE:
            continue
        on = f"the one of {day_words(visit.inspected_on, year=True)}"
        if not visit.passed:
            found = WrittenAcceptance(False, f"{on} did not pass")
        elif visit.lacks:
            found = WrittenAcceptance(found.accepted, f"{on} does not count: {visit.lacks}")
        else:
            found = WrittenAcceptance(True)
    return found


@dataclass(frozen=True, kw_only=True)
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
    taken = list(readings)
    corrected = {r.corrects_id for r in taken}
    rows = sorted((r for r in taken if r.pk not in corrected), key=lambda r: (r.read_on, r.pk))
    found = []
    for a, b in pairwise(rows):
        if b.production_kwh >= a.production_kwh and b.read_on > a.read_on:
            found.append(
                Span(
                    first_on=a.read_on,
                    last_on=b.read_on,
                    production_kwh=b.production_kwh - a.production_kwh,
                    import_kwh=_difference(a.import_kwh, b.import_kwh),
                    export_kwh=_difference(a.export_kwh, b.export_kwh),
                )
            )
    return found


def _difference(before: float | None, after: float | None) -> float | None:
    return None if before is None or after is None or after < before else after - before
