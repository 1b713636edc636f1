"""How far the application is: its states, what the utility owes by when, what is another since it was sent.

The permits of the job stay what the gates read. A line of the application that the utility's word stands
behind writes its permit (services.py); a permit that was written down without a line, as every job of before
has them, is read here as the state that it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from installs.jobs.models import Job
from installs.jobs.reading import known, moment, read_once
from installs.permits.models import Permit, PermitKind
from installs.permits.standing import standing_permits
from installs.utility.facts import changes, parts_of, put_together, told_of
from installs.utility.models import ApplicationLine, UtilityApplication, UtilityProfile
from sitecalc.utility.clock import Due, days_off, dues
from sitecalc.utility.progress import Happened, State, in_order, waits_for_us
from sitecalc.wording import day_words

# how the log begins to tell of a state (services.py)
APPLICATION = "Application to the utility"
# which state grants which permit; sending and asking begin one
GRANTS: dict[State, str] = {
    State.APPROVED: PermitKind.UTILITY_APPLICATION,
    State.TEST: PermitKind.UTILITY_TEST,
    State.OPERATE: PermitKind.UTILITY_OPERATION,
}
ASKS: dict[State, str] = {
    State.SENT: PermitKind.UTILITY_APPLICATION,
    State.WITNESS: PermitKind.UTILITY_TEST,
}


@dataclass(frozen=True)
class Standing:
    """Of one job. ``old``: states that only the permits say; of these nobody has recorded each answer, so
    that a day that was promised and is still ahead holds the call back."""

    lines: tuple[ApplicationLine, ...]
    old: tuple[Happened, ...]
    profile: UtilityProfile | None
    dues: tuple[Due, ...]
    changed: tuple[str, ...]
    utility: str
    today: date
    promised_on: date | None = None  # still ahead, of an application that the permits alone know

    @property
    def happened(self) -> list[Happened]:
        return [*self.old, *(line.happened for line in self.lines if line.struck_at is None)]

    @property
    def newest(self) -> Happened | None:
        ordered = in_order(self.happened)
        return ordered[-1] if ordered else None

    @property
    def sent(self) -> ApplicationLine | None:
        """The newest sending that stands."""
        found = [x for x in self.lines if x.state == State.SENT and x.struck_at is None]
        return max(found, key=lambda x: (x.on, x.pk)) if found else None

    @property
    def ours(self) -> bool:
        return waits_for_us(self.happened)

    @property
    def overdue(self) -> list[Due]:
        return [due for due in self.dues if due.overdue]

    @property
    def calls(self) -> list[str]:
        """What a person does today, a sentence each."""
        said = [self._late_words(late[-1])] if (late := self.overdue) and not self.promised_on else []
        if self.ours and self.newest:
            said.append(f"Send {self.utility or 'the utility'} what it found missing.")
        if self.changed:
            said.append(f"Tell {self.utility or 'the utility'} again: {'; '.join(self.changed)}.")
        return said

    def _late_words(self, due: Due) -> str:
        """Of several the last: who says whether it is complete has it."""
        on = day_words(due.on, beside=(self.today,)) if due.on else ""
        days = f"{due.late} business day{'s' * (due.late > 1)}"
        return f"Call {self.utility or 'the utility'}: “{due.title.lower()}” was due {on}, {days} ago."

    @property
    def strip_acts(self) -> bool:
        return bool(self.changed or self.overdue or self.ours)

    @property
    def strip_words(self) -> str:
        """As the job book says it; "" while there is nothing."""
        if self.changed:
            return f"tell the utility again: {'; '.join(self.changed)}"
        late = self.overdue
        if late:
            return f"“{late[-1].title.lower()}” {late[-1].late} business days overdue"
        newest = self.newest
        return f"application {newest.state} {day_words(newest.on)}" if newest else ""


@read_once
def utilities(jobs: Sequence[Job], at: datetime, *, clock: bool = True) -> dict[int, Standing]:
    """By job's key, in a constant number of queries; without the clock no profile is read, nothing is due."""
    keys = [job.pk for job in jobs]
    lines: dict[int, list[ApplicationLine]] = {key: [] for key in keys}
    rows = known(ApplicationLine.objects.filter(job__in=keys), "recorded_at")
    then = moment()
    for line in rows.select_related(
        "permit", "recorded_by", "struck_by", "job__utility_application"
    ).order_by("on", "pk"):
        if then is not None and line.struck_at is not None and line.struck_at > then:
            line.struck_at = None
        lines[line.job_id].append(line)
    every = UtilityProfile.objects.all() if clock else ()
    profiles = {profile.name.casefold(): profile for profile in every}
    permits = standing_permits(jobs)
    changed = _changed([job for job in jobs if any(line.told for line in lines[job.pk])], lines)
    found = {}
    for job in jobs:
        own, today = tuple(lines[job.pk]), job.local(at).date()
        said = {(x.state, x.on) for x in own}
        old = tuple(x for x in _of_permits(permits[job.pk], own) if (x.state, x.on) not in said)
        profile = profiles.get(job.utility.strip().casefold())
        happened = [*old, *(line.happened for line in own if line.struck_at is None)]
        owed: tuple[Due, ...] = ()
        if profile is not None:
            owed = dues(profile.periods, happened, today, days_off(happened, today, profile.own_days))
        promised = None if any(x.state == State.SENT for x in own) else _promised(permits[job.pk], today)
        found[job.pk] = Standing(
            own, old, profile, owed, changed.get(job.pk, ()), job.utility, today, promised
        )
    return found


def utility_of(job: Job, at: datetime) -> Standing:
    return utilities([job], at)[job.pk]


def _changed(jobs: list[Job], lines: dict[int, list[ApplicationLine]]) -> dict[int, tuple[str, ...]]:
    """What is installed or planned now and what was sent, of jobs that have sent anything."""
    if not jobs:
        return {}
    parts, found = parts_of(jobs, people=False), {}
    for job in jobs:
        sent = [x for x in lines[job.pk] if x.state == State.SENT and x.struck_at is None]
        if sent and sent[-1].told:
            row = getattr(sent[-1].job, "utility_application", None) or UtilityApplication(job=job)
            found[job.pk] = changes(sent[-1].told, told_of(put_together(job, row, parts[job.pk])))
    return found


def _promised(permits: list[Permit], today: date) -> date | None:
    kind = PermitKind.UTILITY_APPLICATION
    days = [p.promised_on for p in permits if p.kind == kind and p.promised_on and not p.granted_on]
    return max((day for day in days if day > today), default=None)


def _of_permits(permits: list[Permit], lines: tuple[ApplicationLine, ...]) -> Iterator[Happened]:
    """States that stand among the permits alone: nothing that a line wrote, struck or not."""
    asked, granted = ({line.permit_id for line in lines if line.state in states} for states in (ASKS, GRANTS))
    for permit in permits:
        if permit.withdrawn_on:
            continue
        for state, kind in ASKS.items():
            if permit.kind == kind and permit.asked_on and permit.pk not in asked:
                yield Happened(state, permit.asked_on)
        for state, kind in GRANTS.items():
            if permit.kind == kind and permit.granted_on and permit.proved and permit.pk not in granted:
                yield Happened(state, permit.granted_on)
