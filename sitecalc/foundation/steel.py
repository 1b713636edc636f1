"""Checks of the mats: least steel, spacing, cover, whatever they carry."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.checks import Check, Known, Rule, Step, worst_first
from sitecalc.formula import Formula
from sitecalc.foundation.rebar import MATS, Mat, MatCase, require_room, spacing_in, spacing_step
from sitecalc.inputs import require_valid

LEAST_STEEL = Rule(
    "minimum steel", "Minimum steel", "in2", "ACI 318-19, 7.6.1.1 and 8.6.1.1", Known.SECONDARY
)
SPACING = Rule(
    "bar spacing",
    "Bar spacing",
    "in",
    "ACI 318-19, 8.7.2.2; 25.2.1 with stones up to 1-1/2 in",
    Known.SECONDARY,
)
COVER = Rule("cover", "Cover", "in", "ACI 318-19, table 20.5.1.3.1", Known.SECONDARY)

GROSS = Formula("Ag", "gross section", "b*h", "in2")
LEAST = Formula("As,min", "least steel", "0.0018*Ag", "in2")
IN_BOTH = Formula(
    "As", "steel in both mats, lower + upper", "n*Ab + n_up*Ab_up", "in2", {"n_up": "n'", "Ab_up": "Ab'"}
)
WIDEST_IN = 18.0
AGGREGATE_IN = 1.5  # the largest stone such pads are placed with


@dataclass(frozen=True)
class SteelResult:
    checks: tuple[Check, ...]


def check_steel(case: MatCase) -> SteelResult:
    """What a mat must be whatever it carries: steel in in2, spacing and cover in in.

    0.0018 Ag, at most 18 in and twice the thickness apart, room for the stones, 3 in of cover against earth.
    ACI 318-19, 7.6.1.1, 8.7.2.2, 25.2.1 and table 20.5.1.3.1 (read in secondary copies).
    """
    require_valid(case)
    require_room(case)
    return SteelResult(tuple(worst_first([_least_steel(case), _spacing(case), _cover(case)])))


def _least_steel(case: MatCase) -> Check:
    """0.0018 of the gross section each way, both mats counted; the way that has less for its width speaks."""
    spreads = {"east to west": case.across_ft, "north to south": case.side_ft}
    steel = {way: _in_both(case, way) for way in spreads}
    way = max(spreads, key=lambda runs: spreads[runs] / steel[runs].value)
    gross = GROSS.step(b=spreads[way] * 12, h=case.thickness_ft * 12)
    needed, given = LEAST.step(Ag=gross.value), steel[way]
    return LEAST_STEEL.compare(
        demand=needed.value,
        capacity=given.value,
        note=f"{given.value:.2f} in² each way in both mats, {needed.value:.2f} in² required.",
        steps=(gross, needed, given),
    )


def _in_both(case: MatCase, way: str) -> Step:
    return IN_BOTH.step(
        n=case.count_of(way, "lower"),
        Ab=case.bar_of("lower").area_in2,
        n_up=case.count_of(way, "upper"),
        Ab_up=case.bar_of("upper").area_in2,
    )


@dataclass(frozen=True)
class _Layer:
    """Bars of one mat that run one way."""

    mat: Mat
    runs: str
    bar_in: float
    spacing_in: float

    @property
    def clear_in(self) -> float:
        return max(0.0, self.spacing_in - self.bar_in)

    @property
    def least_clear_in(self) -> float:
        return max(1.0, self.bar_in, 4 / 3 * AGGREGATE_IN)


def _spacing(case: MatCase) -> Check:
    """Not too far apart, and far enough for the stones to pass; the one nearer its limit is compared."""
    layers = [
        _Layer(mat, runs, case.bar_of(mat).diameter_in, spacing_in(case, runs, mat))
        for mat in MATS
        for runs in ("east to west", "north to south")
    ]
    wide = max(layers, key=lambda layer: layer.spacing_in)
    tight = min(layers, key=lambda layer: layer.clear_in / layer.least_clear_in)
    widest, clear = wide.spacing_in, tight.clear_in
    most, least = min(2 * case.thickness_ft * 12, WIDEST_IN), tight.least_clear_in
    crowded = least * most > widest * clear
    spoken = tight if crowded else wide
    return SPACING.compare(
        demand=least if crowded else widest,
        capacity=clear if crowded else most,
        case=f"{spoken.mat} mat, {spoken.runs}",
        note=f"{widest:.2f} in, at most {most:g} in; {clear:.2f} in clear, at least {least:g} in.",
        steps=(spacing_step(case, spoken.runs, spoken.mat),),
    )


def _cover(case: MatCase) -> Check:
    """Lower mat and sides lie against earth, the upper mat is open to the weather; the tightest speaks."""
    upper = 2.0 if int(case.size_of("upper")[1:]) >= 6 else 1.5
    pairs = (
        ("lower mat", case.cover_lower_in, 3.0),
        ("upper mat", case.cover_upper_in, upper),
        ("sides", case.cover_side_in, 3.0),
    )
    where, given, needed = max(pairs, key=lambda pair: pair[2] / pair[1])
    said = ", ".join(f"{place} {cover:g} in" for place, cover, _least in pairs)
    return COVER.compare(
        demand=needed,
        capacity=given,
        case=where,
        note=f"{said}; at least 3, {upper:g} and 3 in.",
    )
