"""What a calculation says: a rule with its source, a verdict by it, the numbers and the steps behind it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum


class Verdict(StrEnum):
    PASSES = "passes"
    FAILS = "fails"
    NOT_CHECKED = "not checked"
    DOES_NOT_APPLY = "does not apply"

    @property
    def needs_answer(self) -> bool:
        """It fails or is not known: nothing goes on without an engineer's written acceptance.

        What does not apply needs none, and is no pass either.
        """
        return self in (Verdict.FAILS, Verdict.NOT_CHECKED)


class Known(StrEnum):
    """How a rule is known; whatever is not read is said on screen and on paper.

    SECONDARY is a clause of a standard that was read in texts that restate it, never in the standard
    itself; the module that declares the rule says which texts.
    """

    READ = "read"
    SECONDARY = "read in secondary copies"
    MEMORY = "from memory"
    PRACTICE = "common practice, no source"

    @property
    def words(self) -> str:
        """As a paper says it: nobody with a license has compared such a clause with the printed code."""
        return "clause not verified" if self in (Known.MEMORY, Known.SECONDARY) else str(self)

    def beside(self, source: str) -> str:
        """The source, and what has to be said of it: "AISC 360-16 J3.6 (clause not verified)"."""
        return source if self is Known.READ else f"{source} ({self.words})"


@dataclass(frozen=True)
class Step:
    """One line of arithmetic as an engineer would write it down.

    ``formula`` is in symbols ("2 P / (3 L (B / 2 - e))"), ``numbers`` the same with the numbers put in,
    ``value`` the result in ``unit``. :class:`sitecalc.formula.Formula` makes all three from one expression.
    ``looked_up`` is a step that is no arithmetic (a table, a chart, a solver): ``formula`` says how,
    ``numbers`` where.
    """

    symbol: str
    meaning: str
    formula: str
    numbers: str
    value: float
    unit: str
    looked_up: bool = False

    def called(self, meaning: str) -> Step:
        """The same line by another meaning, where it stands beside lines of its kind."""
        return replace(self, meaning=meaning)


@dataclass(frozen=True, kw_only=True)
class Check:
    """Demand against capacity. ``ratio`` is demand / capacity; at most 1 passes.

    A :class:`Rule` makes one, never a hand: it holds that NaN, infinity and missing numbers never pass.

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
    def needs_answer(self) -> bool:
        return self.verdict.needs_answer

    @property
    def source_note(self) -> str:
        """The source as printed; says so where the rule is second-hand, remembered or plain practice."""
        return self.known.beside(self.source)


@dataclass(frozen=True)
class Rule:
    """What is asked, declared once as a constant of its module; every verdict by it is made here.

    key, title, unit, source, known
        as in :class:`Check`.
    """

    key: str
    title: str
    unit: str
    source: str
    known: Known

    def compare(
        self, *, demand: float, capacity: float, case: str = "", note: str = "", steps: Iterable[Step] = ()
    ) -> Check:
        """Demand must not exceed capacity. For "at least" rules the required value is the demand.

        A number that is not finite gives "not checked": it can never pass. A capacity of zero or less
        under a positive demand fails with an infinite ratio.
        """
        said = note or _plain_note(demand, capacity, self.unit, case)
        if not (math.isfinite(demand) and math.isfinite(capacity)):
            return self._check(Verdict.NOT_CHECKED, said, None, None, None, case, steps)
        if capacity > 0:
            ratio = demand / capacity
        else:
            ratio = math.inf if demand > 0 or capacity < 0 else 0.0
        # 1e-9: demand and capacity computed from the same number must not fail on its last bit
        verdict = Verdict.PASSES if ratio <= 1 + 1e-9 else Verdict.FAILS
        return self._check(verdict, said, demand, capacity, ratio, case, steps)

    def open(self, why: str) -> Check:
        """Could not or must not be checked here, with the reason; it never passes."""
        return self._check(Verdict.NOT_CHECKED, why)

    def not_asked(self, why: str) -> Check:
        """The rule asks nothing of this case, with the reason: no pass, and nothing to accept."""
        return self._check(Verdict.DOES_NOT_APPLY, why)

    def stated(
        self,
        *,
        source: str | None = None,
        known: Known | None = None,
        key: str | None = None,
        title: str | None = None,
    ) -> Rule:
        """The same rule as this edition, ordinance or maker states it, or for this member.

        To be called in one place for each rule: a function of what the wording hangs on.
        """
        return replace(
            self,
            source=self.source if source is None else source,
            known=self.known if known is None else known,
            key=self.key if key is None else key,
            title=self.title if title is None else title,
        )

    def _check(
        self,
        verdict: Verdict,
        note: str,
        demand: float | None = None,
        capacity: float | None = None,
        ratio: float | None = None,
        case: str = "",
        steps: Iterable[Step] = (),
    ) -> Check:
        return Check(
            key=self.key,
            title=self.title,
            verdict=verdict,
            demand=demand,
            capacity=capacity,
            unit=self.unit,
            ratio=ratio,
            note=note,
            case=case,
            source=self.source,
            known=self.known,
            steps=tuple(steps),
        )


ORDER = {Verdict.FAILS: 0, Verdict.NOT_CHECKED: 1, Verdict.PASSES: 2, Verdict.DOES_NOT_APPLY: 3}


def worst_first(checks: Iterable[Check]) -> list[Check]:
    """Fails first (highest ratio first), not checked, passes by falling ratio; last what does not apply."""
    return sorted(checks, key=lambda c: (ORDER[c.verdict], -(c.ratio or 0.0), c.title))


def nothing_checked(verdicts: Iterable[Verdict]) -> bool:
    """Not one check was made or is asked for: no list of that kind permits anything."""
    return all(verdict is Verdict.DOES_NOT_APPLY for verdict in verdicts)


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
