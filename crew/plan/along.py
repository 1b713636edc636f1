"""What must go with a day that is moved: as little as keeps the days of its job in order. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from crew.plan.order import JobPlan, earliest, following
from installs.jobs.phases import BY_KEY
from sitecalc.workdays import later_by, next_working, working_between

DAY = timedelta(days=1)


@dataclass(frozen=True)
class Slot:
    """A standing day of the job that is still to come."""

    key: int
    phase: str
    on: date
    weather: bool = False


def along(
    plan: JobPlan, slots: Iterable[Slot], moved: int, to: date, off: Mapping[date, str]
) -> dict[int, date]:
    """New dates by key, the moved day's own too. ``off`` are the days on which the site is not worked.

    Days of the same phase behind it are pushed on where it would reach them; a phase that comes after is
    moved, whole and with its spacing in working days, where its first day would come too early. Nothing is
    drawn forward, and what was begun stays.
    """
    days = {slot.key: slot for slot in slots}
    own = days[moved]
    new = {moved: to}
    reached = to
    later = [s for s in _in_order(days.values()) if s.phase == own.phase and s.on > own.on and s.key != moved]
    for slot in later:
        if _used_up(own, slot, to):
            continue
        if slot.on > reached:
            break
        reached = new[slot.key] = next_working(reached + DAY, off)
    for phase in following(own.phase):
        mine = [s for s in _in_order(days.values()) if s.phase == phase]
        if not mine or phase in plan.begun:
            continue
        bound = earliest(_with(plan, days.values(), new, own), phase)
        first = mine[0]
        free = _kept_before(days.values(), new, first, own, to)
        if bound.lacks or first.on >= max(bound.on, free):
            continue
        start = max(bound.on, free)
        for slot in mine:
            new[slot.key] = later_by(start, working_between(first.on, slot.on, off), off)
    return new


def _in_order(slots: Iterable[Slot]) -> list[Slot]:
    return sorted(slots, key=lambda s: (s.on, s.weather, s.key))


def _kept_before(slots: Iterable[Slot], new: Mapping[int, date], first: Slot, own: Slot, to: date) -> date:
    """The day after those kept free before it: what stood behind a weather day stays behind it."""
    before = BY_KEY[first.phase].after
    kept = [
        new.get(s.key, s.on)
        for s in slots
        if s.weather
        and s.phase in before
        and s.on < first.on
        and not (s.phase == own.phase and _used_up(own, s, to))
    ]
    return max(kept) + DAY if kept else date.min


def _used_up(own: Slot, slot: Slot, to: date) -> bool:
    """A day kept free onto which the work itself moves is used for it."""
    return slot.weather and not own.weather and slot.on == to


def _with(plan: JobPlan, slots: Iterable[Slot], new: Mapping[int, date], own: Slot) -> JobPlan:
    """The plan with these days in place of the ones ahead."""
    work: dict[str, tuple[date, ...]] = {
        phase: tuple(on for on in days if on < plan.today) for phase, days in plan.work.items()
    }
    for slot in slots:
        if not slot.weather:
            work[slot.phase] = tuple(sorted((*work.get(slot.phase, ()), new.get(slot.key, slot.on))))
    return replace(plan, work=work)
