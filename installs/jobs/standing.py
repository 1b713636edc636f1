"""What a release stands on, and whether it still does: the one question of gates, orders, papers and pages.

A release stands on the releases whose figures it took. It is void when it is not what was released
(sealed.py), when one of them is no longer in force with
those figures, when what it took was a draft's and was never released so, or when what it stands on is void
itself. A named engineer may confirm in writing that it stands all the same: for exactly the releases that are
then in force, no longer.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from installs.jobs.models import Confirmation, DesignRevision, Job
from installs.jobs.parts import TABLE, Figures, Taken, Taking
from installs.jobs.reading import known, read_once
from installs.jobs.sealed import CONFIRMED, altered, decided, words_of_release
from installs.jobs.sealing import digest
from sitecalc.inputs import InputError

MOST_DIFFERENCES = 2
Difference = tuple[tuple[str, str] | None, Any, Any]  # words of the figure, as taken, as given
CLOSE = 1e-9  # a figure worked out twice may differ in its last bit


@dataclass(frozen=True)
class Link:
    """``on`` is the release that gave the figures; None: a draft gave them."""

    taking: Taking
    taken: Taken
    on: DesignRevision | None


@dataclass(frozen=True)
class Footing:
    """The releases in force of one job by part, every earlier one, and what engineers confirmed."""

    in_force: Mapping[str, DesignRevision]
    earlier: tuple[DesignRevision, ...]
    confirmed: tuple[Confirmation, ...]
    altered: Mapping[int, str] = field(default_factory=dict)  # why a release is not what was released
    # what is void of a release, and what one offers, worked out once: releases are frozen
    _said: dict[int, str] = field(default_factory=dict, init=False, repr=False, compare=False)
    _offers: dict[tuple[int, int | None], Any] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @classmethod
    def of(
        cls,
        revisions: Iterable[DesignRevision],
        confirmed: Iterable[Confirmation] = (),
        altered: Mapping[int, str] | None = None,
    ) -> Footing:
        ordered = sorted(revisions, key=lambda r: (r.released_at, r.pk or 0))
        return cls({r.part: r for r in ordered}, tuple(ordered), tuple(confirmed), altered or {})

    def links(self, revision: DesignRevision) -> list[Link]:
        """What a release took, and from which release: the newest before it that gives the same figures."""
        found = []
        part = TABLE.get(revision.part)
        for taking in part.stands_on if part else ():
            taken = taking.taken(revision.inputs)
            if taken.figures:
                found.append(Link(taking, taken, self._giver(taking, taken, revision)))
        return found

    def _giver(self, taking: Taking, taken: Taken, revision: DesignRevision) -> DesignRevision | None:
        before = [r for r in self.earlier if r.part == taking.part and _age(r) < _age(revision)]
        if taking.part in revision.stands_on:
            letter = revision.stands_on[taking.part]
            return next((r for r in before if r.letter == letter), None)
        return next((r for r in reversed(before) if not self._differences(taking, taken, r)), None)

    def _differences(self, taking: Taking, taken: Taken, giver: DesignRevision) -> list[Difference]:
        key = id(taking), giver.pk
        if giver.pk is None or key not in self._offers:
            self._offers[key] = offered_by(taking, giver)
        return differences(taking, taken, self._offers[key])

    def void(self, revision: DesignRevision) -> str:
        """ "foundation A stands on tower A with moment 470 kip-ft; tower B with 600 is in force"; or "".

        Of a superseded release it says what it stood on as well: whether it is in force is not asked here.
        """
        if revision.pk is None:
            return self._void(revision)
        if revision.pk not in self._said:
            self._said[revision.pk] = self._void(revision)
        return self._said[revision.pk]

    def _void(self, revision: DesignRevision) -> str:
        if why := self.altered.get(revision.pk):
            return f"{_named(revision)} {why}"  # and nobody's word makes it stand
        if self.confirmation(revision) is not None:
            return ""
        for link in self.links(revision):
            sentence = self._fault(revision, link)
            if sentence:
                return sentence
        return ""

    def _fault(self, revision: DesignRevision, link: Link) -> str:
        name, part = _named(revision), _title(link.taking.part)
        newest = self.in_force.get(link.taking.part)
        if newest is None:
            draft = f"{name} took its figures from a draft of the {part}, and no {part} is released"
            return draft if link.taken.given else ""
        spoiled = self.altered.get(newest.pk)  # then its figures say nothing
        other = [] if spoiled else self._differences(link.taking, link.taken, newest)
        if other and link.on is not None:
            return (
                f"{name} stands on {_named(link.on)} with {_said(other, 0)}; "
                f"{_named(newest)} with {_said(other, 1)} is in force"
            )
        if other:
            took = "took" if link.taken.given else "has"
            draft = " from a draft" if link.taken.given else ""
            return (
                f"{name} {took} {_said(other, 0)}{draft}; {_named(newest)} with {_said(other, 1)} is in force"
            )
        below = self.void(newest)
        return f"{name} stands on {_named(newest)}, which is void: {below}" if below else ""

    def in_words(self, revision: DesignRevision) -> str:
        """ "tower A, turbine draft": what a release stands on; "" where it takes nothing."""
        return ", ".join(
            f"{_title(link.taking.part)} {link.on.letter if link.on else 'draft'}"
            for link in self.links(revision)
            if link.on or link.taken.given
        )

    def confirmation(self, revision: DesignRevision) -> Confirmation | None:
        """The engineer's newest written word for this release, if nothing it stands on was released since."""
        words = [c for c in self.confirmed if c.revision_id == revision.pk]
        if not words:
            return None
        # a word given before the hash was kept says none
        now, frozen = self.fingerprint(revision), ("", digest(revision.inputs))
        return next((c for c in reversed(words) if c.in_force == now and c.inputs_sha256 in frozen), None)

    def newest_below(self, revision: DesignRevision) -> DesignRevision | None:
        """What was released last of all that a release stands on."""
        below = [self.in_force[part] for part in self.fingerprint(revision) if part in self.in_force]
        return max(below, key=_age, default=None)

    def fingerprint(self, revision: DesignRevision) -> dict[str, str]:
        """The letters in force of all that a release stands on, at any depth."""
        found: dict[str, str] = {}
        waiting = [revision.part]
        while waiting:
            part = TABLE.get(waiting.pop())
            for taking in part.stands_on if part else ():
                if taking.part not in found:
                    newest = self.in_force.get(taking.part)
                    found[taking.part] = newest.letter if newest else ""
                    waiting.append(taking.part)
        return found


def _age(revision: DesignRevision) -> tuple[datetime, float]:
    """In the order of release; one that is not saved yet comes last."""
    return revision.released_at, revision.pk or math.inf


def offered_by(taking: Taking, giver: DesignRevision) -> Figures:
    try:
        return taking.offered(giver)
    except (InputError, KeyError, TypeError):  # a release that cannot be read gives nothing
        return {}


def differences(taking: Taking, taken: Taken, offered: Figures) -> list[Difference]:
    """Of each figure that differs; those that can be said come first."""
    found = [
        (taking.words.get(name), value, offered.get(name))
        for name, value in taken.figures.items()
        if not _same(value, offered.get(name))
    ]
    return sorted(found, key=lambda each: not each[0])


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, float | int) and isinstance(b, float | int):
        return abs(a - b) <= CLOSE * max(1.0, abs(a), abs(b))
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(_same(x, y) for x, y in zip(a, b, strict=True))
    if isinstance(a, Mapping) and isinstance(b, Mapping):
        return a.keys() == b.keys() and all(_same(a[name], b[name]) for name in a)
    return bool(a == b)


def _said(other: list[tuple[tuple[str, str] | None, Any, Any]], which: int) -> str:
    said = [_figure(words, each[which]) for words, *each in other if words][:MOST_DIFFERENCES]
    return " and ".join(said) or ("figures that it took" if which == 0 else "others")


def _figure(words: tuple[str, str], value: Any) -> str:
    label, form = words
    return f"no {label}" if value is None or value == "" else form.format(value)


def _title(part: str) -> str:
    return TABLE[part].title.lower() if part in TABLE else part


def _named(revision: DesignRevision) -> str:
    return f"{_title(revision.part)} {revision.letter}"


@read_once
def footings(jobs: Sequence[Job]) -> dict[int, Footing]:
    """By job's key, in a constant number of queries however many jobs there are."""
    keys = [job.pk for job in jobs]
    revisions: dict[int, list[DesignRevision]] = {key: [] for key in keys}
    rows = known(DesignRevision.objects.filter(job__in=keys), "released_at").defer("checks")
    every = list(rows.annotate(words=words_of_release()).prefetch_related("acceptances"))
    spoiled, logged = altered(every), decided(jobs)
    for revision in every:
        revisions[revision.job_id].append(revision)
    why = {r.pk: logged[r.job_id].fault(r, is_altered=r.pk in spoiled) for r in every}
    confirmed: dict[int, list[Confirmation]] = {key: [] for key in keys}
    told = [key for key, log in logged.items() if log.tells(CONFIRMED)]  # any other counts for nothing
    words = known(Confirmation.objects.filter(revision__job__in=told), "confirmed_at")
    for each in words.select_related("engineer", "revision") if told else ():
        if logged[each.revision.job_id].confirmed(each):
            confirmed[each.revision.job_id].append(each)
    return {key: Footing.of(revisions[key], confirmed[key], why) for key in keys}


def footing(job: Job) -> Footing:
    return footings([job])[job.pk]


def in_force(job: Job, part: str) -> DesignRevision | None:
    """The release of a part in force; None while none is."""
    return footing(job).in_force.get(part)


def void(revision: DesignRevision) -> str:
    """Why a release no longer stands, in a sentence; "" while it does."""
    return footing(revision.job).void(revision)
