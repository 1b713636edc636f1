"""When an entry was received, said beside when it happened wherever the two are well apart.

A record that was dated back, or whose phone had another day, then never looks like one of its hour.
"""

from __future__ import annotations

from datetime import timedelta

from installs.checklists.models import Entry
from installs.jobs.models import Job
from sitecalc.wording import clock_words, day_words

LATE = timedelta(hours=1)
AHEAD = timedelta(minutes=1)  # of our clock, after the phone's own is set right by its skew
OLD, TO_COME = timedelta(days=14), timedelta(days=1)  # beyond these it says by how much


def received_words(entry: Entry, job: Job, *, year: bool = False) -> str:
    """ "received Nov 26, 3:10 PM, 40 days later"; "" where it came within the hour, as most do."""
    happened, received = entry.happened_at, entry.received_at
    after = received - happened
    if -AHEAD <= after <= LATE:
        return ""
    here = job.local(received)
    told = f"received {day_words(here, year=year or here.year != happened.year)}, {clock_words(here)}"
    if after > OLD and entry.timed:
        return f"{told}, {after.days:,} days later"
    if after < -TO_COME and entry.timed:
        return f"{told}, {-after // timedelta(days=1):,} days before it"
    return told if after > LATE else f"{told}, by a clock that ran ahead"


def receipt_words(entry: Entry, job: Job, *, year: bool = False) -> str:
    """With what was noted at its receipt: that its person was not on the job any more."""
    late = str(entry.noted.get("late", ""))
    return "; ".join(filter(None, (received_words(entry, job, year=year), late)))
