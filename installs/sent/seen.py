"""What a page showed of a row when it was drawn, held against what the row says now.

A page carries the digest of what it showed, and that itself packed, so that an answer can set it beside what
stands now. The digest decides; what is packed is for the words alone. It is compared by whoever holds the
row's lock.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.db import models
from django.http import QueryDict

from sitecalc.wording import day_words

MOST_PACKED, MOST_UNPACKED = 200_000, 2_000_000
# columns that nobody decides on: they change with each sign-in
UNSEEN = {"password", "last_login"}
EMPTY, NOT_SAID = "empty", "not said"


@dataclass(frozen=True)
class Line:
    """One thing that a page shows. ``value`` is what an untouched field of it sends back."""

    label: str
    value: list[str]
    words: str


# by the name of its field
Seen = Mapping[str, Line]


@dataclass(frozen=True)
class Changed:
    """One thing on the page that was read, as it stands now, and as it was typed where it was."""

    label: str
    read: str
    now: str
    typed: str = ""


@dataclass(frozen=True)
class Read:
    """What the person had before them. ``told``: whether the page says it."""

    sha256: str
    lines: Seen
    told: bool

    @classmethod
    def of(cls, posted: Mapping[str, Any]) -> Read:
        sha256 = str(posted.get("drawn_from", ""))
        lines = {
            name: line
            for name, each in unpacked(str(posted.get("seen", ""))).items()
            if (line := _line(each))
        }
        whole = digest_of(lines) == sha256
        return cls(sha256, lines if whole else {}, whole)

    def is_of(self, now: Seen) -> bool:
        return self.sha256 == digest_of(now)

    def changed(self, now: Seen, typed: Mapping[str, str] | None = None) -> list[Changed]:
        """What stands otherwise now; of a page that does not say what it showed, what was typed otherwise."""
        found = []
        for name in dict.fromkeys([*now, *self.lines]):
            read, stands = self.lines.get(name), now.get(name)
            said = (typed or {}).get(name, "")
            if self.told and (read and read.value) == (stands and stands.value):
                continue
            if not self.told and (typed is None or (stands and stands.words) == said):
                continue
            label = (stands or read or Line(name, [], "")).label
            before = read.words if read else ("" if self.told else NOT_SAID)
            found.append(Changed(label, before, stands.words if stands else "", said))
        return found


def of_lines(lines: Iterable[tuple[Any, str, str]]) -> Seen:
    """(key, label, words) of each thing that a decision stands on."""
    return {str(key): Line(label, [words], words) for key, label, words in lines}


def of_row(row: models.Model) -> Seen:
    """Every column of a row, or what its ``shown()`` says that a person who decides on it reads."""
    shown = getattr(row, "shown", None)
    if shown is not None:
        return of_lines(shown())
    fields = (f for f in row._meta.concrete_fields if not f.primary_key and f.name not in UNSEEN)
    return {f.name: _column(row, f) for f in fields}


def _column(row: models.Model, field: models.Field[Any, Any]) -> Line:
    value = field.value_from_object(row)
    raw = json.dumps(value, sort_keys=True, default=str)
    if value in (None, "", [], {}):
        words = EMPTY
    elif isinstance(field, models.ForeignKey):
        words = str(getattr(row, field.name))
    elif isinstance(field, models.JSONField):
        words = f"check code {hashlib.sha256(raw.encode()).hexdigest()[:8]}"
    elif field.choices:
        words = str(getattr(row, f"get_{field.name}_display")())
    else:
        words = _words(value)
    return Line(capital(str(field.verbose_name)), [raw], words)


def of_form(form: forms.BaseForm) -> Seen:
    """What the form shows before anybody has typed, by its fields; a password and a file show nothing."""
    found = {}
    for name, field in form.fields.items():
        if isinstance(field, forms.FileField) or isinstance(field.widget, forms.PasswordInput):
            continue
        value = _texts(field, form.get_initial_for_field(field, name))
        found[name] = Line(capital(str(form[name].label)), value, _in_words(field, value))
    return found


def typed_in(form: forms.BaseForm, data: QueryDict) -> dict[str, str]:
    """What was typed into each field, in words."""
    return {name: _in_words(form.fields[name], _posted(form, name, data)) for name in of_form(form)}


def taken_over(data: QueryDict, form: forms.BaseForm, read: Read, now: Seen) -> QueryDict:
    """What was posted, with what stands now in each field that nobody touched on the old page."""
    merged = data.copy()
    for name, before in read.lines.items():
        stands = now.get(name)
        if stands is None or before.value == stands.value or _posted(form, name, data) != before.value:
            continue
        merged.setlist(form.add_prefix(name), stands.value)
    return merged


def _posted(form: forms.BaseForm, name: str, data: QueryDict) -> list[str]:
    return _plain(data.getlist(form.add_prefix(name)))


def _texts(field: forms.Field, value: Any) -> list[str]:
    """The texts under which a page sends a value back."""
    prepared = field.prepare_value(value)
    if isinstance(field.widget, forms.CheckboxInput):
        return ["on"] if prepared else []
    shown = field.widget.format_value(prepared)
    return _plain(shown if isinstance(shown, list | tuple) else [shown])


def _plain(texts: Iterable[Any]) -> list[str]:
    """Without the line ends of a browser, in one order, nothing for an empty field."""
    found = (str(text).replace("\r\n", "\n").strip() for text in texts if text is not None)
    return sorted(text for text in found if text)


def _in_words(field: forms.Field, texts: list[str]) -> str:
    if isinstance(field.widget, forms.CheckboxInput):
        return "yes" if texts else "no"
    if not texts:
        return EMPTY
    labels = dict(_choices(field))
    if isinstance(field, forms.DateField):
        return ", ".join(_words(_day(text)) for text in texts)
    return ", ".join(labels.get(text, text) for text in texts)


def _choices(field: forms.Field) -> Iterable[tuple[str, str]]:
    """What a field offers: (value, words), those of groups too."""
    offered = getattr(field, "choices", None) or getattr(field.widget, "choices", None) or ()
    for value, words in offered:
        if isinstance(words, list | tuple):
            yield from ((str(v), str(w)) for v, w in words)
        else:
            yield str(value), str(words)


def _day(text: str) -> Any:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def _words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return day_words(value, year=True)
    return f"{value:g}" if isinstance(value, float) else str(value)


def capital(words: str) -> str:
    return words[:1].upper() + words[1:]


# --- as a page carries it ---------------------------------------------------------------------------


def carried(seen: Seen) -> dict[str, str]:
    """The hidden fields of a page: ``drawn_from`` and ``seen``."""
    return {"drawn_from": digest_of(seen), "seen": packed(_json(seen))}


def digest_of(seen: Seen) -> str:
    return hashlib.sha256(_json({name: line.value for name, line in seen.items()}).encode()).hexdigest()


def _json(seen: Mapping[str, Any]) -> str:
    return json.dumps(dict(seen), sort_keys=True, default=lambda line: [line.label, line.value, line.words])


def _line(told: Any) -> Line | None:
    if not (isinstance(told, list) and len(told) == 3 and isinstance(told[1], list)):
        return None
    return Line(str(told[0]), [str(text) for text in told[1]], str(told[2]))


def packed(text: str) -> str:
    return base64.b64encode(zlib.compress(text.encode(), 9)).decode()


def unpacked(text: str) -> dict[str, Any]:
    """Empty for anything that is no packed object of JSON."""
    if not text or len(text) > MOST_PACKED:
        return {}
    try:
        plain = zlib.decompressobj().decompress(base64.b64decode(text, validate=True), MOST_UNPACKED)
        found = json.loads(plain)
    except (binascii.Error, zlib.error, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
