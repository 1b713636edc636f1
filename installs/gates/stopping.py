"""Stop work: whoever sees a danger stops a phase or the site, and the office says by name when it goes on."""

from __future__ import annotations

from datetime import datetime

from installs.checklists.models import Entry
from installs.gates.said import STOP
from installs.jobs.deviations import WORK_STOPPED
from installs.jobs.models import Job
from installs.jobs.phases import SITE, title_of
from installs.jobs.services import open_deviation
from installs.people.models import User
from sitecalc.wording import clock_words, day_words

NOTHING_SAID = "nothing said yet"


def judge(job: Job, entry: Entry, by: User, at: datetime) -> None:
    """The stop stands from its receipt. Of no known phase it stops the site: never less than was meant."""
    if entry.code != STOP or entry.corrects_id:
        return
    kind = WORK_STOPPED.get(entry.subject, WORK_STOPPED[SITE])
    where = "All work on the site" if kind.stops == SITE else title_of(kind.stops)
    here = job.local(entry.happened_at)
    open_deviation(
        job,
        kind.title.format(who=entry.person.full_name, what=entry.text or NOTHING_SAID)[:80],
        f"{where} was stopped by {entry.person.full_name} {day_words(here, year=True)} {clock_words(here)}"
        f"{f': {entry.text}' if entry.text else ''}. Nobody starts, goes on with or finishes it until the "
        "office says by name that it goes on.",
        by=by,
        at=at,
        entry=entry,
        kind=kind,
    )
