"""What is known of a cure, and what follows from it, as plain values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from installs.pour.field_log import PourLog
from installs.pour.terms import PourTerms
from sitecalc.checks import Check
from sitecalc.pour.calibration import Calibrated, Predicted
from sitecalc.pour.curing import CuringLog
from sitecalc.pour.forecast import Forecast
from sitecalc.pour.maturity import AgeDay
from sitecalc.pour.strength import Cylinder, Strength
from sitecalc.pour.thermal import Thermal
from sitecalc.pour.tonight import TonightCase


@dataclass(frozen=True, kw_only=True)
class NoticeFact:
    """A written strength notice that stands."""

    cure: str
    age_days: float
    diameter_in: int
    cylinders: tuple[tuple[str, float], ...]
    average_psi: float
    signer: str
    firm: str
    written_on: date
    loads_lb: tuple[float | None, ...] = ()  # of each cylinder, where the notice gives it

    def as_cylinders(self) -> tuple[Cylinder, ...]:
        cure: Literal["field", "lab"] = "field" if self.cure == "field" else "lab"
        return tuple(
            Cylinder(mark=mark, cure=cure, psi=psi, age_days=self.age_days, diameter_in=self.diameter_in)
            for mark, psi in self.cylinders
        )


@dataclass(frozen=True)
class EarlyFact:
    engineer: str
    reason: str
    released_at: datetime


@dataclass(frozen=True)
class CureFacts:
    """What is known of one job's pour. ``figures`` are those of its newest release, None without one."""

    zone: str
    log: PourLog
    terms: PourTerms | None
    notices: tuple[NoticeFact, ...] = ()
    early: EarlyFact | None = None
    stop_answered: bool = False  # an engineer has answered the pour that was stopped
    passed_on: date | None = None  # the tower was set on the pad: the cure's clock ends


@dataclass(frozen=True, kw_only=True)
class CureState:
    """State of pour and cure as gates, pages and papers take it.

    ``missing`` are parts of a sentence ("19.7 of 28 curing days"); ``ready`` is true only when it is
    empty. ``expected`` is a forecast: the first date on which the days and, by the curve, the strength
    are there; None where none can be foreseen. ``early_release`` is the engineer's release in words.
    """

    poured_on: date | None
    curing_days: float
    days_required: float
    missing: tuple[str, ...]
    expected: date | None
    strength_psi: float | None
    required_psi: float | None
    early_release: str | None
    backfilled: bool
    surveyed: bool
    ready: bool
    accepted: bool = False  # lab-cured tests at the designated age reach f'c (ACI 318-19 26.12.3.1)
    acceptance_missing: tuple[str, ...] = ()
    grout_missing: str = ""
    watch: TonightCase | None = None  # what the sensors last read, for whoever watches the pad

    @property
    def days_in_words(self) -> str:
        return in_tenths(self.curing_days)


@dataclass(frozen=True)
class Cure:
    """The state with all it was worked out from, for the page and the cure log."""

    state: CureState
    log: CuringLog | None
    forecast: Forecast | None
    strength: Strength | None
    notice: NoticeFact | None
    age_days: float | None  # equivalent age of the pad
    ages: tuple[AgeDay, ...]  # by date
    coldest: str
    strength_expected: date | None
    checks: tuple[Check, ...]
    acceptance: tuple[Check, ...] = ()
    thermal: Thermal | None = None
    calibrated: Calibrated | None = None
    predicted: Predicted | None = None


def in_tenths(days: float) -> str:
    """27.96 is not yet 28: the last tenth is never rounded up."""
    return f"{int(days * 10 + 1e-6) / 10:.1f}"
