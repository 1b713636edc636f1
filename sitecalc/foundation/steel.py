"""Checks of the mats: least steel, spacing, cover, whatever they carry."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, worst_first
from sitecalc.foundation.rebar import MATS, Mat, MatCase, require_room, spacing_in
from sitecalc.inputs import require_valid

LEAST_RATIO = 0.0018
WIDEST_IN = 18.0
AGGREGATE_IN = 1.5  # the largest stone such pads are placed with


@dataclass(frozen=True)
class SteelResult:
    checks: tuple[Check, ...]


def check_steel(case: MatCase) -> SteelResult:
    """What a mat must be whatever it carries; its strength is ``pad_strength.check_strength``."""
    require_valid(case)
    require_room(case)
    return SteelResult(tuple(worst_first([_least_steel(case), _spacing(case), _cover(case)])))


def _least_steel(case: MatCase) -> Check:
    """0.0018 of the gross section each way, both mats counted; the way that has less for its width speaks."""
    spreads = {"east to west": case.across_ft, "north to south": case.side_ft}
    layers = {way: [(case.count_of(way, mat), case.bar_of(mat).area_in2) for mat in MATS] for way in spreads}
    steel = {way: sum(n * area for n, area in layers[way]) for way in spreads}
    way = max(spreads, key=lambda runs: spreads[runs] / steel[runs])
    width, depth, given = spreads[way] * 12, case.thickness_ft * 12, steel[way]
    needed = LEAST_RATIO * width * depth
    counted = " + ".join(f"{n} x {area:g}" for n, area in layers[way])
    return compare(
        "minimum steel",
        "Minimum steel",
        demand=needed,
        capacity=given,
        unit="in2",
        source="ACI 318-19, 7.6.1.1 and 8.6.1.1",
        known=Known.MEMORY,
        note=f"{given:.2f} in² each way in both mats, {needed:.2f} in² required.",
        steps=(
            Step("Ag", "gross section", "b h", f"{width:g} x {depth:g}", width * depth, "in2"),
            Step("As,min", "least steel", "0.0018 Ag", f"0.0018 x {width * depth:,.0f}", needed, "in2"),
            Step("As", "steel in both mats, lower + upper", "sum n Ab", counted, given, "in2"),
        ),
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
    return compare(
        "bar spacing",
        "Bar spacing",
        demand=least if crowded else widest,
        capacity=clear if crowded else most,
        unit="in",
        source="ACI 318-19, 8.7.2.2; 25.2.1 with stones up to 1-1/2 in",
        known=Known.MEMORY,
        case=f"{spoken.mat} mat, {spoken.runs}",
        note=f"{widest:.2f} in, at most {most:g} in; {clear:.2f} in clear, at least {least:g} in.",
        steps=(_spacing_step(case, spoken),),
    )


def _spacing_step(case: MatCase, layer: _Layer) -> Step:
    spread = case.across_ft if layer.runs == "east to west" else case.side_ft
    n, spaces = case.count_of(layer.runs, layer.mat), "n + 1" if case.outline == "circle" else "n - 1"
    return Step(
        "s",
        f"spacing, {layer.mat} mat",
        f"(b - 2 c - db) / ({spaces})",
        f"({spread * 12:g} - 2 x {case.cover_side_in:g} - {layer.bar_in:g}) / ({n} {spaces[2:]})",
        layer.spacing_in,
        "in",
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
    return compare(
        "cover",
        "Cover",
        demand=needed,
        capacity=given,
        unit="in",
        source="ACI 318-19, table 20.5.1.3.1",
        known=Known.MEMORY,
        case=where,
        note=f"{said}; at least 3, {upper:g} and 3 in.",
    )
