"""Which foundation holds: the newest release, or the draft while nothing is released."""

from __future__ import annotations

from dataclasses import dataclass

from installs.foundation.facts import FoundationFacts, released_facts
from installs.foundation.models import FoundationDesign
from installs.foundation.review import review
from installs.jobs.drafts import released_figures
from installs.jobs.models import Job
from installs.jobs.standing import in_force
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.inputs import InputError


@dataclass(frozen=True)
class Standing:
    """``words`` say which; without ``facts`` they say what is missing."""

    words: str
    figures: FoundationFigures | None
    facts: FoundationFacts | None
    letter: str = ""


def standing_of(job: Job) -> Standing:
    revision = in_force(job, "foundation")
    if revision is not None:
        words = f"Foundation release {revision.letter}"
        return Standing(
            words, released_figures(FoundationFigures, revision), released_facts(revision), revision.letter
        )
    draft = FoundationDesign.of(job)
    if draft.pk is None:
        return Standing("No foundation is designed yet.", None, None)
    try:
        return Standing(
            "Draft, not released: nothing is ordered or built from it.", draft.figures, review(draft).results
        )
    except InputError as error:
        return Standing(
            f"The draft is not complete: {error.field.replace('_', ' ')} {error.message}", draft.figures, None
        )
