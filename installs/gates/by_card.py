"""A pour on the inspector's signed card: what the card stands in for until the office has the inspection.

The inspector signs in the field, often where there is no signal; the office records the inspection when the
card arrives. Until then a pour begun on the card is provisional: recorded, and a deviation that the record of
the inspection answers. The card stands in for the inspection and for the word that the excavation is
finished, for nothing else; and for no lift.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from installs.checklists.models import Entry
from installs.checklists.standing import satisfies, standing
from installs.checklists.state import open_states, open_words
from installs.gates.facts import facts_of
from installs.gates.job_facts import JobFacts, VisitFact
from installs.gates.rules import gate
from installs.inspection.models import InspectionKind
from installs.jobs.models import Job

CARD = "C16"
BEFORE = "excavation"


@dataclass(frozen=True)
class ByCard:
    """``blocked``: what no card stands in for. ``needs``: items not complete, as "C10 wording". ``card``: the
    signed card photographed, if it is on record."""

    blocked: tuple[str, ...]
    needs: tuple[str, ...]
    card: Entry | None
    names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # of what goes one by one, by its code

    @property
    def provisional(self) -> bool:
        return not self.blocked and not self.needs and self.card is not None

    @property
    def codes(self) -> list[str]:
        return [words.split()[0] for words in self.needs]

    @property
    def wanted(self) -> str:
        """For the phone: what each code that is open still asks for, as JSON."""
        return json.dumps({code: self.names.get(code, ()) for code in self.codes})

    @property
    def signed(self) -> str:
        return str(self.card.said["signed"]) if self.card else ""


def by_card(job: Job, at: datetime, facts: JobFacts | None = None) -> ByCard:
    """How far the pour may go on by the card as known at ``at``."""
    known = facts or facts_of(job, at)
    open_, card = open_states(job, BEFORE), _card(job)
    needs = [open_words(item, missing) for item, missing in open_]
    names = {item.code: tuple(n.partition(",")[0] for n in missing) for item, missing in open_ if item.per}
    if card is None and not any(words.startswith(f"{CARD} ") for words in needs):
        needs.append(f"{CARD} with its photo and name")  # the item can be done by a name alone
    return ByCard(_blocked(known, job.local(at).date()), tuple(needs), card, names)


def _blocked(facts: JobFacts, day: date) -> tuple[str, ...]:
    """The pour's gate as if inspection and excavation were recorded; a visit that did not pass stays so."""
    passed = VisitFact(True, day)
    footing = facts.inspections.get(InspectionKind.FOOTING, passed)
    supposed = replace(
        facts,
        inspections={**facts.inspections, InspectionKind.FOOTING: footing},
        finished=facts.finished | {BEFORE},
        holds_missing={phase: items for phase, items in facts.holds_missing.items() if phase != BEFORE},
    )
    begun = () if BEFORE in facts.started else ("excavation not begun",)
    return (*begun, *gate("pour", supposed, day).missing)


def _card(job: Job) -> Entry | None:
    """The newest standing card with its photo and the name of who signed it."""
    rows = standing(job.entries.filter(code=CARD).select_related("item", "photo"))
    return next((e for e in reversed(rows) if satisfies(e) and e.photo_id and e.said.get("signed")), None)
