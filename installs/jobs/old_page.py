"""What a design page was drawn from goes back with each decision, so that nobody decides on an old page.

A page carries the digest of the inputs it was drawn from, and those inputs packed, so that an answer can set
them beside what the draft says now. The digest decides; the packed inputs are for the words alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db import transaction
from django.http import QueryDict

from installs.jobs.design_forms import DesignForm
from installs.jobs.drafts import Draft
from installs.jobs.figures import named, said
from installs.jobs.getters import locked
from installs.jobs.parts import Part
from installs.jobs.rows import RowsField
from installs.jobs.sealing import canonical, digest
from installs.jobs.services import write_event
from installs.people.models import User
from installs.sent.seen import Changed, capital, packed, unpacked
from sitecalc.figures import DECLARATION, Figure, declared
from sitecalc.wording import unit_words

ANOTHER = "the draft has changed since this page was read. Both stand below; read them, then decide."
NOT_SAID = "This page does not say from which figures it was drawn. Read it again, then decide."


class OldDraft(Exception):
    """A decision came from a page that shows other figures than the draft has now."""


@dataclass(frozen=True)
class DraftRead:
    """What the person who decides had before them. ``inputs`` is empty where the page does not say it."""

    sha256: str
    inputs: Mapping[str, Any]

    @classmethod
    def of(cls, posted: Mapping[str, Any]) -> DraftRead:
        sha256, inputs = str(posted.get("drawn_from", "")), unpacked(str(posted.get("seen", "")))
        return cls(sha256, inputs if digest(inputs) == sha256 else {})

    def is_of(self, draft: Draft) -> bool:
        return self.sha256 == digest(draft.inputs())

    def own_is_of(self, draft: Draft) -> bool:
        """Whether the part's own figures are as they were read: what other parts give is not kept here."""
        if self.is_of(draft):
            return True
        if not self.inputs:
            return False
        now, given = _plain(draft.inputs()), draft.given()
        return all(self.inputs.get(name) == now.get(name) for name in {*now, *self.inputs} - set(given))

    def changed(self, draft: Draft, form: DesignForm[Any] | None = None) -> list[Changed]:
        """Every figure that is another now, side by side, and as typed where a form was posted."""
        if not self.inputs:
            return []
        now = _plain(draft.inputs())
        return list(_side_by_side("", self.inputs, now, {f.name: f for f in declared(draft.FIGURES)}, form))


@transaction.atomic
def keep_draft(draft: Draft, part: Part, *, read: DraftRead, by: User, at: Any) -> None:
    """Save a draft; the numbers that changed are written to the job's log. OldDraft where others were read.

    What is there already, by a second press, is saved.
    """
    job = locked(draft.job)
    old = part.draft_of(job)
    if old.pk and read.inputs and not read.is_of(old) and draft.inputs() == old.inputs():
        return
    if not read.own_is_of(old):
        raise OldDraft
    draft.pk, draft._state.adding = old.pk, old.pk is None
    before = old.inputs() if old.pk else {}
    changed = {n: [before.get(n), v] for n, v in draft.inputs().items() if before.get(n) != v}
    draft.changed_at, draft.changed_by = at, by
    draft.save()
    names = ", ".join(n.replace("_", " ") for n in changed) or "nothing"
    write_event(job, "draft kept", f"{part.title} draft changed: {names}.", by=by, at=at, data=changed)


def page_of(draft: Draft) -> dict[str, str]:
    """The hidden fields of a page: ``drawn_from`` and ``seen``."""
    inputs = _plain(draft.inputs())
    return {"drawn_from": digest(inputs), "seen": packed(canonical(inputs))}


def taken_over(data: QueryDict, form: DesignForm[Any], read: DraftRead, draft: Draft) -> QueryDict:
    """What was posted, with the draft's own value in each field that nobody touched on the old page."""
    merged = data.copy()
    now = _plain(draft.inputs())
    for name, field in form.fields.items():
        before, today = read.inputs.get(name), now.get(name)
        if name not in read.inputs or before == today:
            continue
        there = {key: data.get(key, "") for key in data if key == name or key.startswith(f"{name}-")}
        if _filled(there) == _filled(as_posted(name, field, before)):
            for key in there:
                del merged[key]
            for key, text in _filled(as_posted(name, field, today)).items():
                merged[key] = text
    notes_read, notes_now = read.inputs.get("notes") or {}, now.get("notes") or {}
    for name in form.fields:
        if f"note-{name}" in data and data[f"note-{name}"] == notes_read.get(name, ""):
            merged[f"note-{name}"] = notes_now.get(name, "")
    return merged


def _filled(posted: Mapping[str, Any]) -> dict[str, str]:
    return {key: str(text).strip() for key, text in posted.items() if str(text).strip()}


def as_posted(name: str, field: forms.Field, value: Any) -> dict[str, str]:
    """The names and texts under which a page sends a value back."""
    if isinstance(field, RowsField):
        return {
            f"{name}-{at}-{column.name}": _text(row.get(column.name))
            for at, row in enumerate(value or [])
            for column in field.columns
        }
    if isinstance(field, forms.NullBooleanField):
        return {name: {True: "true", False: "false"}.get(value, "unknown")}
    if isinstance(field, forms.BooleanField):
        return {name: "on" if value else ""}
    return {name: _text(field.prepare_value(value))}


def _text(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _side_by_side(
    within: str,
    read: Mapping[str, Any],
    now: Mapping[str, Any],
    figures: Mapping[str, Figure],
    form: DesignForm[Any] | None,
) -> Iterator[Changed]:
    for name in dict.fromkeys([*now, *read]):
        before, today = read.get(name), now.get(name)
        if before == today or name in ("typed", DECLARATION):
            continue
        if isinstance(before, Mapping) or isinstance(today, Mapping):
            inner = f"{within}{'source of' if name == 'notes' else named(name)[0]} "
            yield from _side_by_side(inner, before or {}, today or {}, figures, None)
            continue
        figure = figures.get(name)
        label, unit = (figure.label, figure.unit) if figure else named(name)
        typed = _typed(form, name) if form is not None else ""
        words = capital(f"{within}{label}".strip())
        in_unit = f"{words}, {unit_words(unit)}" if unit else words
        yield Changed(in_unit, _said(before), _said(today), typed)


def _typed(form: DesignForm[Any], name: str) -> str:
    if name not in form.fields:
        return ""
    value = form[name].value()
    return _said(value) if not isinstance(value, str) else value or "empty"


def _said(value: Any) -> str:
    """A figure in words; of rows their figures in a line each."""
    if isinstance(value, list) and value and all(isinstance(row, Mapping) for row in value):
        rows = (", ".join(said(each) for each in row.values() if each not in (None, "")) for row in value)
        return "; ".join(rows)
    return said(value)


def _plain(inputs: Mapping[str, Any]) -> dict[str, Any]:
    """As JSON gives it back."""
    plain: dict[str, Any] = json.loads(canonical(dict(inputs)))
    return plain
