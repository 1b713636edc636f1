"""What the gates need to know of one job: plain values, filled by installs.gates.facts.

The defaults are those of a job of which nothing is known.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from installs.lift.state import LiftState
from sitecalc.pour.tonight import Danger, Tonight, TonightCase


@dataclass(frozen=True)
class PermitFact:
    """``in_hand``: granted and proved; on which days it is good its life says."""

    kind: str
    words: str
    in_hand: bool
    number: str = ""
    promised_on: date | None = None
    expires_on: date | None = None
    asked: bool = False
    refused: bool = False
    unproved: bool = False  # said to be in hand, with neither number nor paper
    valid_from: date | None = None

    def good_on(self, day: date) -> bool:
        """In hand and within its life on the day; of a locate ticket the last day must be known."""
        begun = self.valid_from is None or day >= self.valid_from
        lasts = self.kind != "locate" if self.expires_on is None else day <= self.expires_on
        return self.in_hand and begun and lasts


@dataclass(frozen=True)
class VisitFact:
    """The newest visit of a kind. ``corrections`` are those of any visit of the kind that nobody answered."""

    passed: bool
    on: date
    proved: bool = True
    corrections: int = 0


@dataclass(frozen=True)
class CureFact:
    """From installs.pour.review.load_cures."""

    ready: bool
    missing: tuple[str, ...]
    expected: date | None
    poured: bool
    poured_on: date | None = None
    curing_days: float = 0.0
    days_required: float | None = None  # as the pour's figures say; not known is no number
    accepted: bool = False
    acceptance_missing: tuple[str, ...] = ()
    grout_missing: str = ""
    # no gate asks these: the pages say to whoever must act what the sensors, read last, mean tonight
    watch: TonightCase | None = None
    tonight: Tonight | None = None

    @property
    def endangered(self) -> bool:
        """A reading of the pad, or its silence, asks for a person tonight."""
        return self.tonight is not None and self.tonight.danger is Danger.ACT


@dataclass(frozen=True)
class TowerFact:
    """From installs.tower.review.load_torque."""

    complete: bool
    sentence: str


@dataclass(frozen=True)
class CrewDates:
    """Crew days of one phase, standing, in order: days of work, and days kept free for the weather."""

    work: tuple[date, ...] = ()
    kept_free: tuple[date, ...] = ()

    def next(self, today: date) -> date | None:
        """The next day of work; once none is to come, the next that is kept free."""
        return next((day for day in (*self.work, *self.kept_free) if day >= today), None)


@dataclass(frozen=True)
class JobFacts:
    """What the gates need to know of one job. The defaults are those of a job of which nothing is known."""

    site_released: bool = False
    permits: tuple[PermitFact, ...] = ()
    foundation_letter: str = ""
    foundation_unanswered: tuple[str, ...] = ()
    station_letter: str = ""
    station_unanswered: tuple[str, ...] = ()
    station_digs: bool = True
    void: dict[str, str] = field(default_factory=dict)  # part -> why its release no longer stands
    authority_inspects_footing: bool = True
    authority_asks_electrical_permit: bool = True
    inspections: dict[str, VisitFact] = field(default_factory=dict)  # by kind
    begun_on: dict[str, date] = field(default_factory=dict)  # phase -> its first day
    ended_on: dict[str, date] = field(default_factory=dict)
    started: frozenset[str] = frozenset()
    finished: frozenset[str] = frozenset()
    holds_missing: dict[str, tuple[str, ...]] = field(default_factory=dict)  # phase -> items
    beyond: dict[str, tuple[str, ...]] = field(default_factory=dict)  # phase -> readings that say stop
    lists_copied: frozenset[str] = frozenset()  # phases whose checklists are in the job
    cure: CureFact | None = None
    tower: TowerFact | None = None
    lifts: dict[str, LiftState] = field(default_factory=dict)  # by phase, of each that is released
    rotor_locked: bool = False
    tests_missing: tuple[str, ...] = ("shutdown, brake and overspeed",)  # before the turbine may operate
    concrete_accepted: bool = False
    held: dict[str, tuple[str, ...]] = field(default_factory=dict)  # gate -> deviations it waits for
    stopped: dict[str, tuple[str, ...]] = field(
        default_factory=dict
    )  # phase or SITE -> stops not yet answered
    acceptance_why: str = ""  # why a written acceptance on record does not count
    # last planned day of a phase, given by whoever plans: forecasts a gate, never opens it
    planned: dict[str, date] = field(default_factory=dict)
    crew_days: dict[str, CrewDates] = field(
        default_factory=dict
    )  # by phase: the day that a gate is asked for
