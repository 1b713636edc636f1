"""The crane's load chart: looked up, never interpolated; what counts as load; percent of chart in words."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby, pairwise

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import LiftFigures

LOOKUP = (
    "US Navy training manual 14081, Load Rating Chart; US Army TM 5-3810-305-10, p. 25: next longer radius, "
    "smaller of two ratings; hooks, blocks, slings are load"
)
CRITICAL = (
    "29 CFR 1926.751, over 75 % (clause not verified); USACE EM 385-1-1 (2014) 16.H.01, 75 % or more; "
    "85 % the firm's"
)

PERCENT_OF_CHART = Rule("percent-of-chart", "Chart", "% of chart", f"{LOOKUP}; {CRITICAL}", Known.READ)
CRITICAL_LIFT = Rule("critical-lift", "Critical lift", "% of chart", CRITICAL, Known.READ)

READ_AT = Formula("Rc", "radius the chart is read at, with deflection, drift and taping", "R+beyond", "ft")
GROSS = Formula("G", "gross load", "item+block+ball+rigging+jib+aux+rope", "lb", {"aux": "aux head"})
ON_HOOK = Formula("W", "on the hook", "item+rigging+block", "lb")
PERCENT = Formula("u", "percent of chart", "100*G/Q", "%")


@dataclass(frozen=True, kw_only=True)
class Rating:
    """One figure of a load chart."""

    boom_ft: float = quantity("ft", "boom length", low=5, high=500)
    radius_ft: float = quantity("ft", "radius", low=1, high=400)
    capacity_lb: float = quantity("lb", "gross capacity", low=1, high=3_000_000)
    # "*" where the page marks it: by the crane's strength, not its tipping
    mark: str = quantity("", "mark beside it", default="")


@dataclass(frozen=True, kw_only=True)
class Found:
    """The row and boom that govern: what the crew finds when it opens the chart."""

    boom_ft: float
    radius_ft: float
    capacity_lb: float
    asked_boom_ft: float
    asked_radius_ft: float
    mark: str = ""

    @property
    def in_words(self) -> str:
        by = ", by the crane's strength" if self.mark else ""
        row = f"{self.radius_ft:g} ft row, {self.boom_ft:g} ft boom"
        return f"{self.capacity_lb:,.0f}{self.mark} lb at the {row}{by}"


class OutOfChart(InputError):
    """The chart has no figure for this boom and radius: there is no lift."""


def look_up(chart: tuple[Rating, ...], boom_ft: float, radius_ft: float) -> Found:
    """Gross capacity in lb for boom and radius in ft, read off and never interpolated.

    Next longer radius, lesser of next longer and next shorter boom, within the chart. US Navy training manual
    14081, Load Rating Chart; US Army TM 5-3810-305-10, p. 25.

    OutOfChart (an InputError at ``boom_ft`` or ``radius_ft``) where the chart is blank: a shorter or longer
    boom or radius than any listed, also on only one of the two neighboring booms.
    """
    return look_up_in(columns_of(chart), boom_ft, radius_ft)


# of each boom length, shortest first, its ratings by radius
Columns = Mapping[float, tuple[Rating, ...]]


def columns_of(chart: tuple[Rating, ...]) -> Columns:
    """A chart made ready to be looked up many times."""
    rows = sorted(chart, key=lambda r: (r.boom_ft, r.radius_ft))
    return {boom: tuple(column) for boom, column in groupby(rows, key=lambda r: r.boom_ft)}


def look_up_in(chart: Columns, boom_ft: float, radius_ft: float) -> Found:
    """As :func:`look_up`, lengths in ft, of a chart that is ready. InputError and source are that one's."""
    if not chart:
        raise InputError("chart", "has no figures.")
    booms = [*chart]
    shorter = [b for b in booms if b <= boom_ft]
    longer = [b for b in booms if b >= boom_ft]
    if not shorter or not longer:
        raise OutOfChart(
            "boom_ft",
            f"of {boom_ft:g} ft is not on the chart, which goes from {booms[0]:g} to {booms[-1]:g} ft.",
        )
    found = [_row(chart[boom], boom, radius_ft) for boom in {shorter[-1], longer[0]}]
    least = min(found, key=lambda r: (r.capacity_lb, r.boom_ft))
    return Found(
        boom_ft=least.boom_ft,
        radius_ft=least.radius_ft,
        capacity_lb=least.capacity_lb,
        asked_boom_ft=boom_ft,
        asked_radius_ft=radius_ft,
        mark=least.mark,
    )


def _row(rows: tuple[Rating, ...], boom_ft: float, radius_ft: float) -> Rating:
    # a radius computed to lie on a row must find that row and not the next one for its last bit
    at = bisect_left(rows, radius_ft - 1e-9, key=lambda r: r.radius_ft)
    if at == len(rows) or radius_ft < rows[0].radius_ft - 1e-9:
        raise OutOfChart(
            "radius_ft",
            f"of {readable(radius_ft)} ft is out of the chart at {boom_ft:g} ft boom: "
            f"{rows[0].radius_ft:g} to {rows[-1].radius_ft:g} ft.",
        )
    return rows[at]


def longer_carries_more(chart: tuple[Rating, ...]) -> list[str]:
    """Where a longer boom is listed with more than a shorter one at the same radius: as a rule a slip."""
    at = {(r.radius_ft, r.boom_ft): r.capacity_lb for r in chart}
    asked = []
    for radius in sorted({r for r, _ in at}):
        booms = sorted(b for r, b in at if r == radius)
        asked += [
            f"Radius {radius:g} ft: the {longer:g} ft boom carries {at[radius, longer]:,.0f} lb, more than "
            f"{at[radius, shorter]:,.0f} lb of the {shorter:g} ft boom."
            for shorter, longer in pairwise(booms)
            if at[radius, longer] > at[radius, shorter]
        ]
    return asked


def chart_faults(chart: tuple[Rating, ...]) -> list[str]:
    """What is wrong with a chart as typed in: doubled places, and capacity that grows with radius."""
    faults, seen = [], set[tuple[float, float]]()
    for r in chart:
        if (r.boom_ft, r.radius_ft) in seen:
            faults.append(f"Boom {r.boom_ft:g} ft, radius {r.radius_ft:g} ft stands there twice.")
        seen.add((r.boom_ft, r.radius_ft))
    for boom in sorted({r.boom_ft for r in chart}):
        rows = sorted((r for r in chart if r.boom_ft == boom), key=lambda r: r.radius_ft)
        faults += [
            f"Boom {boom:g} ft: {b.capacity_lb:,.0f} lb at {b.radius_ft:g} ft is more than "
            f"{a.capacity_lb:,.0f} lb at {a.radius_ft:g} ft."
            for a, b in pairwise(rows)
            if b.capacity_lb > a.capacity_lb
        ]
    return faults


@dataclass(frozen=True, kw_only=True)
class Load:
    """All that the chart counts as load, in pounds."""

    # the tower's sections or the machine may say the weight, in a range of their own
    item_lb: float = same_as(LiftFigures, "weight_lb", required=True, low=0, high=1_000_000)
    block_lb: float = same_as(LiftFigures, "block_lb", required=True)
    ball_lb: float = same_as(LiftFigures, "ball_lb")
    rigging_lb: float = same_as(LiftFigures, "rigging_lb", required=True)
    # a crane without a stowed jib has none
    jib_lb: float = same_as(LiftFigures, "jib_lb", default=0.0)
    aux_head_lb: float = same_as(LiftFigures, "aux_head_lb")
    rope_lb: float = quantity("lb", "rope beyond the chart's note", low=0, high=20_000, default=0.0)

    @property
    def besides_lb(self) -> float:
        """What comes on top of the item."""
        return self.gross_lb - self.item_lb

    @property
    def gross_lb(self) -> float:
        """Item, block, ball, rigging, jib, auxiliary head and rope beyond the chart's note, lb."""
        return self.gross_step().value

    @property
    def hook_lb(self) -> float:
        """What the hoist line carries and the wind pushes: item, rigging and block."""
        return ON_HOOK.value(item=self.item_lb, rigging=self.rigging_lb, block=self.block_lb)

    def gross_step(self) -> Step:
        return GROSS.step(
            item=self.item_lb,
            block=self.block_lb,
            ball=self.ball_lb,
            rigging=self.rigging_lb,
            jib=self.jib_lb,
            aux=self.aux_head_lb,
            rope=self.rope_lb,
        )


class LiftClass(StrEnum):
    STANDARD = "standard lift"
    CRITICAL = "critical lift"
    NOT_PERMITTED = "not permitted"


@dataclass(frozen=True, kw_only=True)
class PercentLimits:
    """The firm's limits; a firm may be stricter than 75 %, not looser, and a lift stricter than its firm."""

    # where no firm says its own
    standard_below: float = same_as(LiftFigures, "critical_percent", default=75.0)
    permitted_to: float = same_as(LiftFigures, "most_percent", default=85.0)


FIRM_LIMITS = PercentLimits()


def percent_in_words(percent: float, limits: PercentLimits = FIRM_LIMITS) -> str:
    """Whole percent, with a decimal where rounding would carry the figure to the other side of a limit."""
    whole = f"{percent:.0f}"
    crossed = any(
        (percent < limit) != (float(whole) < limit) or (percent > limit) != (float(whole) > limit)
        for limit in (limits.standard_below, limits.permitted_to)
    )
    return f"{percent:.1f} %" if crossed else f"{whole} %"


def lift_class(percent: float, limits: PercentLimits, critical_because: tuple[str, ...] = ()) -> LiftClass:
    """What the percent of chart asks for; NaN and infinity are not permitted."""
    if not percent <= limits.permitted_to:
        return LiftClass.NOT_PERMITTED
    if percent >= limits.standard_below or critical_because:
        return LiftClass.CRITICAL
    return LiftClass.STANDARD


@dataclass(frozen=True, kw_only=True)
class ChartCase:
    chart: tuple[Rating, ...]
    load: Load
    boom_ft: float = same_as(LiftFigures, "boom_ft", required=True)
    radius_ft: float = same_as(LiftFigures, "radius_ft", required=True)
    # with the drift of the load in the wind on top of what is typed
    beyond_ft: float = same_as(LiftFigures, "beyond_ft", required=True, high=50)
    limits: PercentLimits = FIRM_LIMITS
    critical_because: tuple[str, ...] = ()

    @property
    def furthest_ft(self) -> float:
        return READ_AT.value(R=self.radius_ft, beyond=self.beyond_ft)


@dataclass(frozen=True)
class ChartResult:
    gross_lb: float
    found: Found
    percent: float
    lift_class: LiftClass
    checks: tuple[Check, ...]


def percent_of_chart(case: ChartCase) -> ChartResult:
    """Gross load in lb against the chart's gross capacity at the furthest radius, in percent.

    u = 100 G / Q; over the firm's limit fails, from 75 % a critical lift. InputError out of the chart. Range
    and source as of :func:`look_up`.
    """
    require_valid(case)
    found = look_up(case.chart, case.boom_ft, case.furthest_ft)
    steps = _percent_steps(case, found)
    percent, gross = steps[-1].value, case.load.gross_lb
    kind = lift_class(percent, case.limits, case.critical_because)
    article = {LiftClass.STANDARD: "a ", LiftClass.CRITICAL: "a "}.get(kind, "")
    said = percent_in_words(percent, case.limits)
    check = PERCENT_OF_CHART.compare(
        demand=percent,
        capacity=case.limits.permitted_to,
        note=f"{said} of chart, {article}{kind}: gross {gross:,.0f} lb of {found.in_words}.",
        steps=steps,
    )
    return ChartResult(gross, found, percent, kind, (check, *_critical_check(case, kind, percent)))


def _percent_steps(case: ChartCase, found: Found) -> tuple[Step, ...]:
    gross = case.load.gross_step()
    how = "next longer radius; lesser of the two neighboring booms"
    return (
        READ_AT.step(R=case.radius_ft, beyond=case.beyond_ft),
        looked_up("Q", "gross capacity", how, found.in_words, found.capacity_lb, "lb"),
        gross,
        PERCENT.step(G=gross.value, Q=found.capacity_lb),
    )


def _critical_check(case: ChartCase, kind: LiftClass, percent: float) -> tuple[Check, ...]:
    """A critical lift stays open until a named engineer has accepted the written plan."""
    if kind is not LiftClass.CRITICAL:
        return ()
    by_percent = percent >= case.limits.standard_below
    said = f"{percent_in_words(percent, case.limits)} of chart"
    reasons = ", ".join([*([said] if by_percent else []), *case.critical_because])
    why = f"Critical lift: {reasons}. A named engineer accepts the written plan."
    return (CRITICAL_LIFT.open(why),)
