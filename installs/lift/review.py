"""The review of a lift's draft, and what the gates need to know of the lifts of many jobs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Subquery

from installs.equipment.getters import with_records
from installs.equipment.models import Crane, Sling
from installs.jobs.figures import said as said_value
from installs.jobs.kept import is_shared_known, kept_shared
from installs.jobs.models import DesignRevision, Job
from installs.jobs.reading import known, read_once
from installs.jobs.sealed import SIGNED as SIGNED_PLAN
from installs.jobs.sealed import Decided, decided
from installs.jobs.standing import Footing, footings
from installs.lift.cases import Figures
from installs.lift.checking import LiftReview, review_figures
from installs.lift.models import (
    ROWS,
    TOWER_LIFT,
    TURBINE_LIFT,
    LiftDesign,
    LiftSignature,
    SignatureRole,
    bound,
    figures_of_row,
    row_of,
)
from installs.lift.plausible import refuse_contradictions
from installs.lift.state import LiftState
from installs.people.models import Certificate, CertificateKind, Firm
from sitecalc.figures import Figure, declared, plain
from sitecalc.lift.figures import LiftFigures
from sitecalc.wording import day_words

# whose card must be valid on the day; the foreman needs none
CARDS = {
    "lift_director": CertificateKind.LIFT_DIRECTOR,
    "operator": CertificateKind.CRANE_OPERATOR,
    "rigger": CertificateKind.RIGGER,
    "signals": CertificateKind.SIGNAL_PERSON,
}
TAGS = ("near_sling", "far_sling", "shackle")


def review(lift: LiftDesign) -> LiftReview:
    """The draft as it stands. InputError at the form's field for figures that contradict each other."""
    inputs = lift.inputs()
    refuse_contradictions(Figures(inputs))
    return review_figures(inputs)


@read_once
def load_lifts(jobs: list[Job]) -> dict[tuple[int, str], LiftState]:
    """State of every released lift plan by job and lift, in a constant number of queries."""
    standing = footings(jobs)
    plans = {
        (key, which): found.in_force[which]
        for key, found in standing.items()
        for which in (TOWER_LIFT, TURBINE_LIFT)
        if which in found.in_force
    }
    if not plans:
        return {}
    # the firm's limit comes with the drafts, not by a query of its own
    firms = Subquery(Firm.objects.values("most_percent")[:1])
    rows = LiftDesign.objects.filter(job__in=[job.pk for job in jobs]).annotate(firm_percent=firms)
    drafts = {(d.job_id, d.which): d for d in rows}
    signatures = _signatures({key for key, _ in plans}, decided(jobs))
    at_hand = _AtHand.of(plans.values())
    found = {}
    for key, revision in plans.items():
        signed = set(standing_signatures(revision, signatures[key])) >= set(SignatureRole.values)
        changed = changed_since(revision, drafts.get(key), standing[key[0]])
        over = over_firm(revision, getattr(drafts.get(key), "firm_percent", None))
        found[key] = LiftState(
            revision.letter,
            signed and not changed,
            {day: tuple(at_hand.not_valid(revision.inputs, day)) for day in own_days(revision.inputs)},
            (*changed, *over),
            tuple(changed),
        )
    return found


def over_firm(revision: DesignRevision, most_percent: float | None) -> list[str]:
    """A plan released before the firm's limit came down is held to today's."""
    percent = (revision.results.get("chart") or {}).get("percent")
    if percent is None or most_percent is None or percent <= most_percent:
        return []
    return [
        f"lift plan {revision.letter}: {percent:.0f} % of chart, and the firm's limit is {most_percent:g} %"
    ]


def _signatures(
    jobs: Iterable[int], log: Mapping[int, Decided]
) -> dict[tuple[int, str], list[LiftSignature]]:
    """Every signature that the log tells of, by job and lift, the oldest first; no query where it tells of
    none."""
    found: dict[tuple[int, str], list[LiftSignature]] = defaultdict(list)
    told = [job for job in jobs if log[job].tells(SIGNED_PLAN)]
    rows = known(LiftSignature.objects.filter(revision__job__in=told), "signed_at").defer("limits")
    signed = rows.select_related("revision").defer("revision__checks", "revision__results")
    for signature in signed if told else ():
        if log[signature.revision.job_id].signed(signature):
            found[signature.revision.job_id, signature.revision.part].append(signature)
    return found


def standing_signatures(
    revision: DesignRevision, signatures: Iterable[LiftSignature]
) -> dict[str, LiftSignature]:
    """By role the newest under this release, or under an earlier one whose signed figures are the same.

    What bears on nothing that was signed (a radio channel, by the declaration of the figures) is another
    release, and no other plan.
    """
    signed = signed_figures(revision.inputs)
    found = {}
    for signature in sorted(signatures, key=lambda s: s.signed_at):
        under = signature.revision
        if under.pk == revision.pk or (
            under.stands_on == revision.stands_on and signed_figures(under.inputs) == signed
        ):
            found[signature.role] = signature
    return found


def signed_figures(inputs: Mapping[str, Any]) -> dict[str, Any]:
    """Of a release's inputs what a signature is given for: each figure that is not aside, what was given."""
    figures = {f.name: inputs.get(f.name, plain(f.default)) for f in SIGNED if not f.is_row}
    rows = {name: bound(row_of(inputs, name)) for name in ROWS}
    return {**figures, **rows, "which": inputs.get("which"), "given": inputs.get("given")}


SIGNED = tuple(f for f in declared(LiftFigures) if not f.is_aside and f.name != "which")
MOST_CHANGES = 3


def changed_since(revision: DesignRevision, draft: LiftDesign | None, standing: Footing) -> list[str]:
    """A changed draft voids plan and signatures, and so does whatever the plan stands on."""
    said = []
    changes = changed_figures(revision.inputs, draft.own_inputs()) if draft is not None else []
    if changes:
        more = [f"{len(changes) - MOST_CHANGES} more"] if len(changes) > MOST_CHANGES else []
        which = "; ".join([*changes[:MOST_CHANGES], *more])
        said.append(f"lift plan {revision.letter} is void: its draft has changed ({which})")
    void = standing.void(revision)
    return [*said, f"lift plan {revision.letter} is void: {void}"] if void else said


def changed_figures(frozen: Mapping[str, Any], own: Mapping[str, Any]) -> list[str]:
    """ "radius, taped 32 ft, now 31 ft": each signed figure that differs; notes on sources do not count.

    A figure that is declared since the release stands at its default on both sides.
    """
    said = []
    for figure in SIGNED:
        name, empty = figure.name, plain(figure.default)
        if name in ROWS:
            if row_of(frozen, name).get("record") != own.get(name):
                said.append(f"{figure.meaning}: another one")
            continue
        before, now = frozen.get(name, empty), own.get(name, empty)
        if before == now:
            continue
        if figure.is_table:
            said.append(figure.meaning)
        else:
            said.append(f"{figure.meaning} {_typed(figure, before)}, now {_typed(figure, now)}")
    return said


def _typed(figure: Figure, value: Any) -> str:
    if value in (None, ""):
        return "empty"
    if figure.kind is date:
        return day_words(date.fromisoformat(value), weekday=True, year=True)
    return f"{said_value(value)} {figure.unit}".strip()


def own_days(inputs: Mapping[str, Any]) -> list[date]:
    """The days that a plan is for, in order: the lift's, and its weather day; none where no lift day is."""
    if not inputs.get("lift_on"):
        return []
    named = (inputs.get(name) for name in ("lift_on", "weather_day"))
    return sorted({date.fromisoformat(text) for text in named if text})


def _pk(inputs: dict[str, Any], name: str) -> int:
    """Key of the row that the plan names, 0 for none."""
    return row_of(inputs, name).get("record") or 0


def _keys(plans: Iterable[dict[str, Any]], names: Iterable[str]) -> set[int]:
    return {_pk(inputs, name) for inputs in plans for name in names} - {0}


def _edited(inputs: dict[str, Any], name: str, row: Crane | Sling) -> bool:
    """Whether the catalogue now says something else than the plan was worked out with."""
    now = {"record": row.pk, **figures_of_row(row)}
    # a column that came after the release says nothing of it
    return any(now.get(key) != value for key, value in bound(row_of(inputs, name)).items())


@dataclass(frozen=True)
class _AtHand:
    """Cranes, tags and cards that the plans name, loaded once."""

    cranes: dict[int, Crane]
    slings: dict[int, Sling]
    cards: dict[tuple[int, str], list[Certificate]]

    @classmethod
    def of(cls, revisions: Iterable[DesignRevision]) -> _AtHand:
        """Whatever the firm has, where that is kept; else what these name."""
        if is_shared_known():
            return _every()
        inputs = [r.inputs for r in revisions]
        cranes = with_records(Crane.objects.filter(pk__in=_keys(inputs, ("crane",))))
        slings = with_records(Sling.objects.filter(pk__in=_keys(inputs, TAGS)))
        cards = Certificate.objects.filter(person__in=_keys(inputs, CARDS), kind__in=CARDS.values())
        return cls.by_key(cranes, slings, cards)

    @classmethod
    def by_key(
        cls, cranes: Iterable[Crane], slings: Iterable[Sling], cards: Iterable[Certificate]
    ) -> _AtHand:
        held: dict[tuple[int, str], list[Certificate]] = defaultdict(list)
        for card in cards:
            held[card.person_id, card.kind].append(card)
        return cls({c.pk: c for c in cranes}, {s.pk: s for s in slings}, {**held})

    def not_valid(self, inputs: dict[str, Any], day: date) -> list[str]:
        """What the plan names that is not valid on the day, with names and dates."""
        said = []
        crane = self.cranes.get(_pk(inputs, "crane"))
        standing = crane.standing(day) if crane else None
        if standing is None or not standing.valid:
            said.append(f"crane: {standing.words if standing else 'none named'}")
        elif crane is not None and _edited(inputs, "crane", crane):
            said.append("crane: its figures were changed after the plan was released")
        for name in TAGS:
            tag = self.slings.get(_pk(inputs, name))
            if tag is not None and not tag.valid_on(day):
                said.append(f"{tag.tag}: {tag.standing(day).words}")
            elif tag is not None and _edited(inputs, name, tag):
                said.append(f"{tag.tag}: its figures were changed after the plan was released")
        for name, kind in CARDS.items():
            words = self.card_fault(inputs, name, kind, day)
            if words:
                said.append(words)
        return said

    def card_fault(self, inputs: dict[str, Any], name: str, kind: str, day: date) -> str:
        role = name.replace("_", " ")
        person = row_of(inputs, name).get("name")
        if person is None:
            return f"no {role} named"
        held = self.cards.get((_pk(inputs, name), kind), [])
        if any(card.valid_on(day) for card in held):
            return ""
        lacking = [c.lacks for c in held if c.lacks and not c.archived_on]
        if lacking:
            return f"{person}, {role}: card with {lacking[0]}"
        expired = max((c.expires_on for c in held if c.expires_on and not c.archived_on), default=None)
        why = f"card to {day_words(expired, year=True)}" if expired else "no card on record"
        return f"{person}, {role}: {why}"


def cards_of(inputs: dict[str, Any]) -> dict[str, Certificate]:
    """The longest running card of each person named, by their part in the lift."""
    rows = Certificate.objects.filter(
        person__in=_keys([inputs], CARDS), archived_on=None, expires_on__isnull=False
    )
    found: dict[str, Certificate] = {}
    for name, kind in CARDS.items():
        mine = [c for c in rows if c.person_id == _pk(inputs, name) and c.kind == kind and not c.lacks]
        if mine:
            found[name] = max(mine, key=lambda c: c.expires_on or date.min)
    return found


@kept_shared
def _every() -> _AtHand:
    cards = Certificate.objects.filter(kind__in=CARDS.values())
    return _AtHand.by_key(with_records(Crane.objects.all()), with_records(Sling.objects.all()), cards)
