"""Paper of the application to the utility: what is applied for, and what became of it."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from installs.jobs.models import DesignRevision, Job
from installs.utility.facts import applied
from installs.utility.review import screens
from installs.utility.standing import Standing, utility_of
from sitecalc.wording import day_words


def application_sheet(job: Job, revision: DesignRevision | None) -> dict[str, Any]:
    """U-1: on its face how much is missing, then each line with the part that it is from."""
    found = applied(job)
    return {
        "title": "Interconnection application",
        "sheet": "U-1",
        "said": found.face,
        "said_note": f"{job.utility or 'No utility named'}. Not sent by being printed.",
        "gaps": [gap.words for gap in found.gaps],
        "groups": [{"title": title, "items": items} for title, items in found.groups],
        "check": found.check,
        "signer": found.application.signer_name,
        "letter_sha256": found.application.agent_letter.sha256 if found.application.agent_letter else "",
    }


def _note(standing: Standing) -> str:
    """What of it a reader must see first; with the year, for paper is kept."""
    newest = standing.newest
    if standing.changed:
        return "The utility is to be told again."
    return f"{newest.state.capitalize()} {day_words(newest.on, year=True)}." if newest else "Nothing sent."


def record_sheet(job: Job, revision: DesignRevision | None) -> dict[str, Any]:
    """U-2: what was sent, what the utility said, what it owes by when, and the screens."""
    standing, found = utility_of(job, timezone.now()), applied(job)
    sent = standing.sent
    return {
        "title": "Dates, states and screens",
        "sheet": "U-2",
        "said": found.face,
        "said_note": _note(standing),
        "utility": job.utility,
        "source": standing.profile.source if standing.profile else "",
        "has_profile": standing.profile is not None,
        "dues": standing.dues,
        "overdue": [due.title for due in standing.overdue],
        "changed": standing.changed,
        "lines": [
            {
                "state": line.state,
                "on": line.on,
                "by_whom": line.by_whom,
                "number": line.number,
                "words": line.words,
                "struck": line.struck_because,
                "told_sha256": line.told_sha256[:8],
                "file_sha256": line.file.sha256[:8] if line.file else "",
            }
            for line in standing.lines
        ],
        "old": [{"state": line.state.value, "on": line.on} for line in standing.old],
        "sent_on": sent.on if sent else None,
        "sent": list(sent.told.values()) if sent else [],
        "checks": screens(found, standing.profile),
    }
