"""The emergency card of a job: what is read to the dispatcher, and what is missing of it.

What a site must have settled before work begins: prompt medical attention, a person with a valid certificate
in first aid where no hospital is near, numbers in sight where 911 does not answer (29 CFR 1926.50 (b), (c),
(f), read in a copy of 2014). 35 ft from a line that is down: Electrical Safety Foundation International,
Winter downed power lines (https://www.esfi.org/winter-downed-power-lines/). The rest is common practice, no
source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from installs.emergency.models import EmergencyPlan
from installs.firm.facts import Place, drafted_place, released_place
from installs.jobs.models import Job
from installs.jobs.reading import read_once
from installs.people.models import Certificate, CertificateKind

# of a plan, in the order in which they are missed: column, words
ASKED = (
    ("way_in", "how to get in"),
    ("hospital", "emergency room"),
    ("drive_min", "drive to it"),
    ("muster", "where the crew meets"),
    ("landing", "where a helicopter can land"),
    ("utility_phone", "utility\u2019s emergency number"),
)

EVERYTHING = tuple(words for _column, words in ASKED)


@dataclass(frozen=True)
class FirstAider:
    """Of the job's people, with a card in date on the day."""

    name: str
    good_to: date


@dataclass(frozen=True, kw_only=True)
class Card:
    job: Job
    plan: EmergencyPlan
    address: str
    place: Place | None  # of the tower, latitude and longitude in degrees
    first_aiders: tuple[FirstAider, ...]
    missing: tuple[str, ...]

    @property
    def coordinates(self) -> str:
        """As they are read aloud: "47.1234 north, 98.5678 west"."""
        if self.place is None:
            return ""
        (lat, lon) = self.place
        north, east = ("north" if lat >= 0 else "south"), ("east" if lon >= 0 else "west")
        return f"{abs(lat):.5f} {north}, {abs(lon):.5f} {east}"

    @property
    def state(self) -> str:
        """One line: "complete", or what is missing."""
        return f"missing: {', '.join(self.missing)}" if self.missing else "complete"


@read_once
def unasked() -> dict[int, tuple[str, ...]]:
    """By job what of its plan nobody has said; of a job that is not here, EVERYTHING. One query for all."""
    return {plan.job_id: _missing(plan) for plan in EmergencyPlan.objects.all()}


def _missing(plan: EmergencyPlan) -> tuple[str, ...]:
    return tuple(words for column, words in ASKED if getattr(plan, column) in ("", None))


def card_of(job: Job, on: date) -> Card:
    """``on`` is the day at the site: a first-aid card must be good on it."""
    plan = EmergencyPlan.objects.filter(job=job).first() or EmergencyPlan(job=job)
    place = released_place(job) or drafted_place(job)
    address = ", ".join(filter(None, [job.address, job.place, job.county, job.state]))
    aiders = first_aiders(job, on)
    missing = [*_missing(plan)]
    missing += [] if job.address else ["address"]
    missing += [] if place else ["coordinates of the tower"]
    missing += [] if aiders else ["anybody with a first-aid card in date"]
    return Card(job=job, plan=plan, address=address, place=place, first_aiders=aiders, missing=tuple(missing))


def first_aiders(job: Job, on: date) -> tuple[FirstAider, ...]:
    """Of the people on the job now. Only a card that is valid on the day counts (Certificate.valid_on)."""
    people = job.members.filter(until=None, person__is_active=True).values("person")
    cards = Certificate.objects.filter(
        person__in=people, kind=CertificateKind.FIRST_AID, archived_on=None, expires_on__gte=on
    ).select_related("person")
    best: dict[str, date] = {}
    for card in cards:
        if card.expires_on is None or not card.valid_on(on):
            continue
        best[card.person.full_name] = max(card.expires_on, best.get(card.person.full_name, card.expires_on))
    return tuple(FirstAider(name, good_to) for name, good_to in sorted(best.items()))
