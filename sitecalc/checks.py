"""What a calculation says: a verdict with the numbers, the source and the steps behind it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum


class Verdict(StrEnum):
    PASSES = "passes"
    FAILS = "fails"
    NOT_CHECKED = "not checked"


class Known(StrEnum):
    """How a rule is known; whatever is not read is said on screen and on paper."""

    READ = "read"
    MEMORY = "from memory"
    PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Step:
    """One line of arithmetic as an engineer would write it down.

    ``formula`` is in symbols ("q = 2 P / (3 L (B/2 - e))"), ``numbers`` the same with the
    numbers put in, ``value`` the result in ``unit``.
    """

    symbol: str
    meaning: str
    formula: str
    numbers: str
    value: float
    unit: str


@dataclass(frozen=True)
class Check:
    """Demand against capacity. ``ratio`` is demand / capacity; at most 1 passes.

    Build one with :func:`compare` or :func:`not_checked`, never by hand: they hold the rule that
    NaN, infinity and missing numbers never pass.

    key
        stable name within its part ("bearing"), cited by acceptances.
    title
        what is checked, as the margin note begins ("Bearing").
    note
        the rest of the margin note: "2,140 of 2,500 psf, wind from the NW, 0.6D + 0.6W".
    case
        governing case: direction, combination, member.
    source
        title, edition and clause; ``known`` says whether it was read or remembered.
    """

    key: str
    title: str
    verdict: Verdict
    demand: float | None
    capacity: float | None
    unit: str
    ratio: float | None
    note: str
    case: str
    source: str
    known: Known
    steps: tuple[Step, ...] = field(default=())

    @property
    def passes(self) -> bool:
        return self.verdict is Verdict.PASSES

    @property
    def source_note(self) -> str:
        """The source as printed; says so where the rule is remembered or plain practice."""
        return self.source if self.known is Known.READ else f"{self.source} ({self.known})"


def compare(
    key: str,
    title: str,
    *,
    demand: float,
    capacity: float,
    unit: str,
    source: str,
    known: Known,
    case: str = "",
    note: str = "",
    steps: Iterable[Step] = (),
) -> Check:
    """Demand must not exceed capacity. For "at least" rules the required value is the demand.

    A number that is not finite gives "not checked": it can never pass. A capacity of zero or less
    under a positive demand fails with an infinite ratio.
    """
    note = note or _plain_note(demand, capacity, unit, case)
    if not (math.isfinite(demand) and math.isfinite(capacity)):
        return Check(
            key,
            title,
            Verdict.NOT_CHECKED,
            None,
            None,
            unit,
            None,
            note,
            case,
            source,
            known,
            tuple(steps),
        )
    if capacity > 0:
        ratio = demand / capacity
    else:
        ratio = math.inf if demand > 0 or capacity < 0 else 0.0
    # 1e-9: demand and capacity computed from the same number must not fail on its last bit
    verdict = Verdict.PASSES if ratio <= 1 + 1e-9 else Verdict.FAILS
    return Check(key, title, verdict, demand, capacity, unit, ratio, note, case, source, known, tuple(steps))


def not_checked(key: str, title: str, why: str, *, source: str, known: Known, unit: str = "") -> Check:
    """A check that could not or must not be made here, with the reason; it counts as not passing."""
    return Check(key, title, Verdict.NOT_CHECKED, None, None, unit, None, why, "", source, known, ())


def worst_first(checks: Iterable[Check]) -> list[Check]:
    """Fails first (highest ratio first), then not checked, then passes by falling ratio."""
    order = {Verdict.FAILS: 0, Verdict.NOT_CHECKED: 1, Verdict.PASSES: 2}
    return sorted(checks, key=lambda c: (order[c.verdict], -(c.ratio or 0.0), c.title))


def _plain_note(demand: float, capacity: float, unit: str, case: str) -> str:
    text = f"{readable(demand)} of {readable(capacity)} {unit}".rstrip()
    return f"{text}, {case}" if case else text


def readable(value: float) -> str:
    """A number as a person writes it: about four figures, thousands with commas."""
    if not math.isfinite(value):
        return "unknown"
    size = abs(value)
    if size >= 1000 or (size >= 100 and value == int(value)):
        return f"{value:,.0f}"
    if size >= 100:
        return f"{value:,.1f}".removesuffix(".0")
    if size >= 1:
        return f"{value:.2f}".rstrip("0").rstrip(".")
    return f"{value:.3g}"
