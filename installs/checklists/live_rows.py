"""Rows of a page that renews itself: over the line goes the row that changed, in its place.

Each row carries a digest of what it shows (``data-row``). The page sends the digests back when it asks
(static/installs/live.js), so that any process can answer, whichever made the page; the answer takes rows
away, puts new ones in, and swaps those that differ (htmx, out of band, by the row's id).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cached_property

from django.utils.safestring import SafeString, mark_safe

CARRIED = re.compile(r"([a-z]+-[0-9]+)_([0-9a-f]{8})$")


@dataclass(frozen=True)
class Row:
    """``key`` is its id on the page, ``tag`` "tr" or "g" (of a drawing), ``inside`` its HTML or SVG."""

    key: str
    inside: str
    tag: str = "tr"
    attributes: str = ""

    @cached_property
    def digest(self) -> str:
        return hashlib.sha256(f"{self.attributes}>{self.inside}".encode()).hexdigest()[:8]

    @property
    def html(self) -> SafeString:
        return self._element("")

    def _element(self, swap: str) -> SafeString:
        more = f' data-row="{self.digest}"{self.attributes}{swap}'
        return mark_safe(f'<{self.tag} id="{self.key}"{more}>{self.inside}</{self.tag}>')

    def in_its_place(self) -> str:
        return _carried(self.tag, self._element(' hx-swap-oob="true"'))

    def after(self, other: str) -> str:
        """Put in behind the row of this id; as the first of ``#...``, where that is of the whole part."""
        around = "tbody" if self.tag == "tr" else "g"
        return _carried(around, f'<{around} hx-swap-oob="{other}">{self.html}</{around}>')


def _carried(tag: str, element: str) -> str:
    """A row cannot stand by itself in HTML, nor a shape outside a drawing: a template carries it."""
    return f"<template>{f'<svg>{element}</svg>' if tag == 'g' else element}</template>"


def _taken_away(key: str, tag: str) -> str:
    return _carried(tag, f'<{tag} id="{key}" hx-swap-oob="delete"></{tag}>')


def carried(text: str, part: str) -> list[tuple[str, str]]:
    """Id and digest of each row that a page says it shows, of those whose ids begin with ``part-``."""
    found = (CARRIED.match(each) for each in text.split("."))
    return [(row[1], row[2]) for row in found if row and row[1].startswith(f"{part}-")]


def changes(rows: Sequence[Row], shown: Sequence[tuple[str, str]], place: str, whole: str) -> SafeString:
    """What makes a page that shows ``shown`` show ``rows``. ``place`` is the id of what holds the rows.

    ``whole`` where little of it would stay, or where it is not known what is shown.
    """
    digests = dict(shown)
    same = sum(digests.get(row.key) == row.digest for row in rows)
    if 2 * same < len(rows) or not rows or len(digests) != len(shown):
        return mark_safe(whole)
    return mark_safe("".join(_steps(rows, shown, digests, place)))


def table_anew(rows: Sequence[Row], place: str) -> str:
    """All rows of a table at once."""
    inside = "".join(row.html for row in rows)
    return _carried("tbody", f'<tbody hx-swap-oob="innerHTML:#{place}">{inside}</tbody>')


def _steps(
    rows: Sequence[Row], shown: Sequence[tuple[str, str]], digests: dict[str, str], place: str
) -> Iterator[str]:
    before, after = [key for key, _ in shown], [row.key for row in rows]
    steps = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    for what, first, last, _, _ in steps:  # a row that moved is taken away before it is put in
        if what in ("delete", "replace"):
            yield from (_taken_away(key, rows[0].tag) for key in before[first:last])
    for what, _, _, first, last in steps:
        for place_in_order in range(first, last):
            row = rows[place_in_order]
            if what == "equal":
                if digests[row.key] != row.digest:
                    yield row.in_its_place()
            elif place_in_order:
                yield row.after(f"afterend:#{after[place_in_order - 1]}")
            else:
                yield row.after(f"afterbegin:#{place}")
