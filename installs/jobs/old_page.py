"""What a design page was drawn from goes back with each decision, so that nobody decides on an old page.

A page carries the digest of the inputs it was drawn from, and those inputs packed, so that an answer can set
them beside what the draft says now. The digest decides; the packed inputs are for the words alone.
"""

from __future__ import annotations

import base64
import binascii
import json
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from installs.jobs.design_forms import DesignForm
from installs.jobs.drafts import Draft
from installs.jobs.figures import named, said
from installs.jobs.rows import RowsField
from installs.jobs.sealing import canonical, digest
from sitecalc.figures import DECLARATION, Figure, declared

MOST_PACKED, MOST_UNPACKED = 200_000, 2_000_000
ANOTHER = "the draft has changed since this page was read. Both stand below; read them, then decide."
NOT_SAID = "This page does not say from which figures it was drawn. Read it again, then decide."


class OldPage(Exception):
    """A decision came from a page that shows other figures than the draft has now."""


@dataclass(frozen=True)
class Changed:
    """One figure on the page that was read and in the draft now; ``typed`` is what would be kept."""

    label: str
    unit: str
    read: str
    now: str
    typed: str = ""


@dataclass(frozen=True)
class Read:
    """What the person who decides had before them. ``inputs`` is empty where the page does not say it."""

    sha256: str
    inputs: Mapping[str, Any]

    @classmethod
    def of(cls, posted: Mapping[str, Any]) -> Read:
        sha256, inputs = str(posted.get("drawn_from", "")), _unpacked(str(posted.get("seen", "")))
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


def page_of(draft: Draft) -> dict[str, str]:
    """The hidden fields of a page: ``drawn_from`` and ``seen``."""
    inputs = _plain(draft.inputs())
    packed = base64.b64encode(zlib.compress(canonical(inputs).encode(), 9)).decode()
    return {"drawn_from": digest(inputs), "seen": packed}


def taken_over(data: QueryDict, form: DesignForm[Any], read: Read, draft: Draft) -> QueryDict:
    """What was posted, with the draft's own value in each field that nobody touched on the old page."""
    merged = data.copy()
    now = _plain(draft.inputs())
    for name, field in form.fields.items():
        before, today = read.inputs.get(name), now.get(name)
        if name not in read.inputs or before == today:
            continue
        there = {key: data.get(key, "") for key in data if key == name or key.startswith(f"{name}-")}
        if _filled(there) == _filled(_as_posted(name, field, before)):
            for key in there:
                del merged[key]
            for key, text in _filled(_as_posted(name, field, today)).items():
                merged[key] = text
    notes_read, notes_now = read.inputs.get("notes") or {}, now.get("notes") or {}
    for name in form.fields:
        if f"note-{name}" in data and data[f"note-{name}"] == notes_read.get(name, ""):
            merged[f"note-{name}"] = notes_now.get(name, "")
    return merged


def _filled(posted: Mapping[str, Any]) -> dict[str, str]:
    return {key: str(text).strip() for key, text in posted.items() if str(text).strip()}


def _as_posted(name: str, field: forms.Field, value: Any) -> dict[str, str]:
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
        words = f"{within}{label}".strip()
        yield Changed(words[:1].upper() + words[1:], unit, _said(before), _said(today), typed)


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


def _unpacked(packed: str) -> dict[str, Any]:
    """Empty for anything that is no packed object of JSON."""
    if not packed or len(packed) > MOST_PACKED:
        return {}
    try:
        text = zlib.decompressobj().decompress(base64.b64decode(packed, validate=True), MOST_UNPACKED)
        inputs = json.loads(text)
    except (binascii.Error, zlib.error, ValueError, RecursionError):
        return {}
    return inputs if isinstance(inputs, dict) else {}
