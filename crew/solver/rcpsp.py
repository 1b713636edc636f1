"""Published scheduling problems on the same solver: activities, arrows, what is there of each resource.

The resource-constrained project scheduling problem as in R. Kolisch and A. Sprecher, "PSPLIB - A project
scheduling problem library", European Journal of Operational Research 96 (1997) 205-216: read from the
library's own text format, solved by CP-SAT, and by a priority rule beside it. Pure.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from crew.solver.solving import Effort, Told, solved


@dataclass(frozen=True, kw_only=True)
class Project:
    """Activities by their place, the first and the last of no length; durations in periods.

    needs
        by activity, how much of each resource it takes while it lasts; ``there``: how much there is.
    """

    durations: tuple[int, ...]
    after: tuple[tuple[int, ...], ...]
    needs: tuple[tuple[int, ...], ...]
    there: tuple[int, ...]


@dataclass(frozen=True)
class Scheduled:
    """``starts`` by activity; ``bound``: no schedule is shorter."""

    starts: tuple[int, ...]
    length: int
    bound: int
    proven: bool


def read_project(text: str) -> Project:
    """A single-mode problem in PSPLIB's .sm format. ValueError where it is none."""
    try:
        arrows = _rows(text, "PRECEDENCE RELATIONS:", skip=1)
        needs = _rows(text, "REQUESTS/DURATIONS:", skip=2)
        there = tuple(_rows(text, "RESOURCEAVAILABILITIES:", skip=1)[0])
        before: list[list[int]] = [[] for _ in arrows]
        for row in arrows:
            for later in row[3 : 3 + row[2]]:
                before[later - 1].append(row[0] - 1)
        return Project(
            durations=tuple(row[2] for row in needs),
            after=tuple(tuple(each) for each in before),
            needs=tuple(tuple(row[3 : 3 + len(there)]) for row in needs),
            there=there,
        )
    except (IndexError, ValueError) as error:
        raise ValueError(f"this is no project in PSPLIB's format: {error}") from error


def _rows(text: str, head: str, skip: int) -> list[list[int]]:
    lines = text[text.index(head) :].splitlines()[1 + skip :]
    found = []
    for line in lines:
        if not re.fullmatch(r"[\d\s]+", line) or not line.strip():
            break
        found.append([int(word) for word in line.split()])
    return found


def shortest(project: Project, effort: Effort, told: Told | None = None) -> Scheduled:
    """The shortest schedule found, begun from that of the priority rule and never longer."""
    from ortools.sat.python import cp_model

    start = by_rule(project, starts=20, seed=effort.seed)
    horizon, model = start.length, cp_model.CpModel()
    begins = [model.new_int_var(0, horizon, "") for _ in project.durations]
    spans = [
        model.new_fixed_size_interval_var(begin, days, "")
        for begin, days in zip(begins, project.durations, strict=True)
    ]
    for later, before in enumerate(project.after):
        for first in before:
            model.add(begins[later] >= begins[first] + project.durations[first])
    for kind, much in enumerate(project.there):
        asking = [n for n, needs in enumerate(project.needs) if needs[kind]]
        model.add_cumulative([spans[n] for n in asking], [project.needs[n][kind] for n in asking], much)
    end = begins[-1] + project.durations[-1]
    model.minimize(end)
    for begin, at in zip(begins, start.starts, strict=True):
        model.add_hint(begin, at)
    found = solved(model, effort, told)
    if found.solver is None:
        return start
    starts = tuple(found.solver.value(begin) for begin in begins)
    length = starts[-1] + project.durations[-1]
    return Scheduled(starts, length, round(found.bound), found.proven)


def by_rule(project: Project, starts: int, seed: int) -> Scheduled:
    """The best of many serial schedules: at each step what must end first goes first, later ones shuffled.

    Serial generation of schedules with the rule of the latest finish: Kolisch, "Serial and parallel
    resource-constrained project scheduling methods revisited", European Journal of Operational Research 90
    (1996) 320-333; biased at random after the first. From memory.
    """
    random = Random(seed)
    tails = _tails(project)
    best: tuple[int, ...] | None = None
    for nth in range(starts):
        bias = [0.0 if nth == 0 else random.gauss(0, 4) for _ in tails]
        found = serial(project, [-(tail + more) for tail, more in zip(tails, bias, strict=True)])
        if best is None or found[-1] < best[-1]:
            best = found
    assert best is not None
    return Scheduled(best, best[-1] + project.durations[-1], max(tails), False)


def _tails(project: Project) -> list[int]:
    """From the beginning of each activity to the end of the project, with resources without end."""
    tails = list(project.durations)
    for later in range(len(tails) - 1, -1, -1):
        for first in project.after[later]:
            tails[first] = max(tails[first], project.durations[first] + tails[later])
    return tails


def serial(project: Project, rank: Sequence[float]) -> tuple[int, ...]:
    """Each activity as early as it can, the lowest ``rank`` of those whose forerunners are placed first."""
    horizon = sum(project.durations) + 1
    left = [[much] * horizon for much in project.there]
    starts: dict[int, int] = {}
    waiting = set(range(len(project.durations)))
    while waiting:
        can = [n for n in waiting if all(first in starts for first in project.after[n])]
        each = min(can, key=lambda n: (rank[n], n))
        waiting.remove(each)
        at = max((starts[f] + project.durations[f] for f in project.after[each]), default=0)
        while not _fits(project, left, each, at):
            at += 1
        starts[each] = at
        for kind, needs in enumerate(project.needs[each]):
            for period in range(at, at + project.durations[each]):
                left[kind][period] -= needs
    return tuple(starts[n] for n in range(len(project.durations)))


def _fits(project: Project, left: list[list[int]], each: int, at: int) -> bool:
    span = range(at, at + project.durations[each])
    return all(
        left[kind][period] >= needs
        for kind, needs in enumerate(project.needs[each])
        if needs
        for period in span
    )
