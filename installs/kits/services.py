"""Saving releases as a kit, beginning a job with one, and what it leaves to confirm for the other site."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from installs.jobs.catalogue import SHELVES, CatalogueRow
from installs.jobs.drafts import Draft
from installs.jobs.getters import locked
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE
from installs.jobs.services import write_event
from installs.jobs.standing import footing
from installs.kits.models import Kit, KitTaking, SiteQuestion
from installs.people.firm_log import write_firm_event
from installs.people.firm_rows import archive_row, write_row
from installs.people.models import User
from installs.sent.seen import Seen, of_lines
from sitecalc.checks import readable
from sitecalc.figures import Figure, carry, declared, plain, read, written

# a lift plan is of its day and crane, a site of its lot: neither goes into a kit
KIT_PARTS = ("turbine", "tower", "foundation", "ground_station", "pour")


def may_be_kept(job: Job) -> list[DesignRevision]:
    """Releases in force of a job that stand, in the order in which a job is designed."""
    standing = footing(job)
    found = (standing.in_force.get(part) for part in KIT_PARTS)
    return [revision for revision in found if revision is not None and not standing.void(revision)]


@transaction.atomic
def save_kit(
    job: Job, name: str, note: str, releases: Sequence[DesignRevision], *, by: User, at: datetime
) -> Kit:
    """ValidationError for a name that is taken, and for a release that no longer stands."""
    job = locked(job)
    offered = {revision.pk for revision in may_be_kept(job)}
    if not releases or not {revision.pk for revision in releases} <= offered:
        raise ValidationError({"releases": "Choose releases that stand."})
    if Kit.objects.filter(name=name).exists():
        words = "There is a kit of this name, and kits are not changed. Take another name."
        raise ValidationError({"name": words})
    kit = Kit.objects.create(name=name, note=note, job=job, made_at=at, made_by=by)
    kit.releases.set(releases)
    letters = {revision.part: revision.letter for revision in releases}
    said = ", ".join(f"{TABLE[part].title.lower()} {letter}" for part, letter in letters.items())
    write_event(job, "kit saved", f"Kit {name} saved: {said}.", by=by, at=at, data={"kit": kit.pk, **letters})
    write_row("kit", kit, None, by=by, at=at, named=f"{name}, of job {job.number}: {said}")
    return kit


@transaction.atomic
def take_kit(kit: Kit, job: Job, *, by: User, at: datetime) -> KitTaking:
    """Drafts of the kit's parts, with their sources, and nothing released.

    What is another at each site is left empty; where a figure cannot be empty it is asked. ValidationError
    where the job has a kit already, or a draft of one of the parts: nothing that was typed is written over.
    """
    job = locked(job)
    if kit.archived_on:
        raise ValidationError(f"Kit {kit.name} is archived.")
    if KitTaking.objects.filter(job=job).exists():
        raise ValidationError("This job began with a kit already.")
    releases = sorted(kit.releases.all(), key=lambda revision: KIT_PARTS.index(revision.part))
    if any(footing(kit.job).altered.get(revision.pk) for revision in releases):
        raise ValidationError(f"A release of kit {kit.name} is not what was released: it cannot be taken.")
    begun = [TABLE[r.part].title.lower() for r in releases if TABLE[r.part].draft_of(job).pk]
    if begun:
        raise ValidationError(f"The job has drafts already: {', '.join(begun)}. A kit comes first.")
    taking = KitTaking.objects.create(kit=kit, job=job, chosen_at=at, chosen_by=by)
    for revision in releases:
        draft = TABLE[revision.part].draft_of(job)
        value, questions = brought_along(draft, revision)
        draft.value, draft.notes = value, notes_of(kit, revision)
        for name in draft._rows():
            _set_row(draft, name, revision.inputs.get(name))
        draft.changed_at, draft.changed_by = at, by
        draft.save()
        for question in questions:
            question.taking = taking
            question.save()
    data = {"kit": kit.pk, "releases": {r.part: r.sha256 for r in releases}}
    words = f"Drafts begun with kit {kit.name}: {', '.join(TABLE[r.part].title.lower() for r in releases)}."
    write_event(job, "kit taken", words, by=by, at=at, data=data)
    return taking


def notes_of(kit: Kit, revision: DesignRevision) -> dict[str, str]:
    """Each figure's source as it was, and the kit beside it."""
    kept = revision.inputs.get("notes") or {}
    of = f"kit {kit.name}, {revision.part.replace('_', ' ')} {revision.letter}"
    return {name: f"{words} ({of})"[:200] for name, words in kept.items() if words}


def brought_along(draft: Draft, revision: DesignRevision) -> tuple[dict[str, Any], list[SiteQuestion]]:
    """The draft's value as a kit gives it, and what has to be asked at the other site."""
    figures = type(draft).FIGURES
    rows: dict[str, Any] = dict.fromkeys(draft._rows())
    taken = {**carry(figures, dict(revision.inputs)), **rows}
    known = {f.name: f for f in declared(figures) if not f.is_row}
    value = {name: plain(taken[name]) for name in known if name in taken}
    questions = []
    for figure in known.values():
        if figure.name not in value:
            continue
        if figure.is_of_site:
            if figure.optional or figure.is_table or _says_not_made(figure.default):
                value[figure.name] = plain(figure.default)
            else:
                questions.append(_question(revision.part, figure, value[figure.name]))
        elif figure.is_table:
            questions += _of_rows(revision.part, figure, value[figure.name] or [])
    return written(read(figures, value, rows)), questions


def _says_not_made(default: Any) -> bool:
    """Of a choice that says itself that nobody has made it; 0 is a figure."""
    return default is False or default == "not known"


def _of_rows(part: str, table: Figure, rows: Sequence[Mapping[str, Any]]) -> Iterator[SiteQuestion]:
    columns = [column for column in declared(table.row_class) if column.is_of_site]
    for place, row in enumerate(rows):
        for column in columns:
            if row.get(column.name) not in (None, ""):
                of = str(row.get("name") or f"row {place + 1}")
                yield _question(part, column, row[column.name], table=table.name, row=place, of=of)


def _question(
    part: str, figure: Figure, value: Any, *, table: str = "", row: int = -1, of: str = ""
) -> SiteQuestion:
    if isinstance(value, bool):
        said = "yes" if value else "no"
    else:
        said = readable(value) if isinstance(value, int | float) else figure.choices.get(value, str(value))
    label = f"{of}, {figure.label.lower()}" if of else figure.label
    words = f"{label[:1].upper()}{label[1:]}: {said} {figure.unit}".strip()
    return SiteQuestion(part=part, figure=figure.name, table=table, row=row, value=value, words=words[:200])


def _set_row(draft: Draft, name: str, key: Any) -> None:
    """The catalogue row that the release names, where it is there still."""
    field = draft._meta.get_field(name)
    assert isinstance(field, models.ForeignKey)
    model = field.related_model
    if isinstance(key, int) and isinstance(model, type) and model._default_manager.filter(pk=key).exists():
        setattr(draft, field.attname, key)


def open_questions(job: Job) -> list[SiteQuestion]:
    """What is not confirmed and stands in the drafts as the kit brought it."""
    waiting = SiteQuestion.objects.filter(taking__job=job, confirmed_at=None)
    drafts: dict[str, Mapping[str, Any]] = {}
    found = []
    for question in waiting:
        if question.part not in drafts:
            drafts[question.part] = TABLE[question.part].draft_of(job).value
        if stands_as_brought(question, drafts[question.part]):
            found.append(question)
    return found


def stands_as_brought(question: SiteQuestion, inputs: Mapping[str, Any]) -> bool:
    """Whether the figure is still the kit's: one that was typed anew has been looked at."""
    if not question.table:
        return bool(inputs.get(question.figure) == question.value)
    rows = inputs.get(question.table) or []
    inside = question.row < len(rows)
    return inside and rows[question.row].get(question.figure) == question.value


def asked_of_kit(job: Job, part: str, inputs: Mapping[str, Any]) -> list[str]:
    """Why a draft that began with a kit cannot be released yet."""
    waiting = SiteQuestion.objects.filter(taking__job=job, part=part, confirmed_at=None)
    found = [question.words for question in waiting if stands_as_brought(question, inputs)]
    return [f"Not confirmed for this site: {'; '.join(found)}."] if found else []


@transaction.atomic
def confirm(job: Job, keys: Iterable[int], *, by: User, at: datetime) -> int:
    """These figures are right for this site too; how many."""
    job = locked(job)
    chosen = [question for question in open_questions(job) if question.pk in set(keys)]
    if not chosen:
        raise ValidationError({"questions": "Tick what was looked at."})
    for question in chosen:
        question.confirmed_at, question.confirmed_by = at, by
        question.save(update_fields=["confirmed_at", "confirmed_by"])
    words = "; ".join(f"{TABLE[q.part].title}: {q.words}" for q in chosen)
    data = {"questions": [[q.part, q.table, q.row, q.figure, q.value] for q in chosen]}
    write_event(job, "kit confirmed", f"Right for this site: {words}.", by=by, at=at, data=data)
    return len(chosen)


@transaction.atomic
def save_to_catalogue(draft: Draft, kind: str, name: str, *, by: User, at: datetime) -> CatalogueRow:
    """A new row with the draft's figures. ValidationError for a name that is taken."""
    locked(draft.job)
    value = {figure: draft.value[figure] for figure in SHELVES[kind].figures if figure in draft.value}
    try:
        with transaction.atomic():
            row = CatalogueRow.objects.create(
                kind=kind, name=name, value=value, job=draft.job, made_at=at, made_by=by
            )
    except IntegrityError as error:
        raise ValidationError({"name": "There is one of this name already. Take another name."}) from error
    write_row("catalogue row", row, None, by=by, at=at, named=f"{row.shelf.title.lower()} {name}")
    return row


def archive(row: Kit | CatalogueRow, on: date, *, by: User, at: datetime) -> None:
    """No longer offered; what was taken from it stays."""
    archive_row(_called(row), row, on, by=by, at=at)


@transaction.atomic
def take_back(row: Kit | CatalogueRow, *, by: User, at: datetime) -> None:
    archived = type(row)._default_manager.filter(pk=row.pk).exclude(archived_on=None)
    if archived.update(archived_on=None, archived_by=None):
        called = _called(row)
        words = f"{called.capitalize()} offered again: {row}."
        write_firm_event(f"{called} taken back", words, by=by, at=at, data={called: row.pk})


def _called(row: Kit | CatalogueRow) -> str:
    return "kit" if isinstance(row, Kit) else "catalogue row"


def shown(waiting: Sequence[SiteQuestion]) -> Seen:
    """What a page that asks for them shows, and is held to when it is sent."""
    return of_lines((question.pk, question.part, question.words) for question in waiting)
