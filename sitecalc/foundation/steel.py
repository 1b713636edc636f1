"""Checks of the mats: least steel, spacing, cover. Their strength is left to the licensed engineer."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked, worst_first
from sitecalc.foundation.rebar import MatCase, require_room, spacing_in
from sitecalc.foundation.tables import bars
from sitecalc.inputs import require_valid

LEAST_RATIO = 0.0018
WIDEST_IN = 18.0
AGGREGATE_IN = 1.5  # the largest stone such pads are placed with
ENGINEERS = "left to the licensed engineer in this version."


@dataclass(frozen=True)
class SteelResult:
    checks: tuple[Check, ...]


def check_steel(case: MatCase) -> SteelResult:
    require_valid(case)
    require_room(case)
    checks = [_least_steel(case), _spacing(case), _clear_spacing(case), *_covers(case), *_strengths()]
    return SteelResult(tuple(worst_first(checks)))


def _least_steel(case: MatCase) -> Check:
    """0.0018 of the gross section each way, both mats counted; the longer side has the larger section."""
    bar = bars()[case.size]
    width = max(case.side_ft, case.across_ft) * 12
    depth = case.thickness_ft * 12
    needed, given = LEAST_RATIO * width * depth, 2 * case.count * bar.area_in2
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
            Step("As", "steel in both mats", "2 n Ab", f"2 x {case.count} x {bar.area_in2:g}", given, "in2"),
        ),
    )


def _widest(case: MatCase) -> float:
    return max(spacing_in(case, way) for way in ("east to west", "north to south"))


def _spacing(case: MatCase) -> Check:
    spaced, limit = _widest(case), min(2 * case.thickness_ft * 12, WIDEST_IN)
    return compare(
        "bar spacing",
        "Bar spacing",
        demand=spaced,
        capacity=limit,
        unit="in",
        source="ACI 318-19, 8.7.2.2",
        known=Known.MEMORY,
        note=f"{spaced:.2f} in, at most {limit:g} in.",
        steps=(
            Step(
                "s",
                "spacing",
                "(b - 2 c - db) / (n - 1)",
                f"({max(case.side_ft, case.across_ft) * 12:g} - 2 x {case.cover_side_in:g} - "
                f"{bars()[case.size].diameter_in:g}) / {case.count - 1}",
                spaced,
                "in",
            ),
        ),
    )


def _clear_spacing(case: MatCase) -> Check:
    """Bars must leave room for the stones; of bars too many to fit the clear distance is nothing."""
    bar = bars()[case.size].diameter_in
    clear = min(spacing_in(case, way) for way in ("east to west", "north to south")) - bar
    least = max(1.0, bar, 4 / 3 * AGGREGATE_IN)
    return compare(
        "clear spacing",
        "Clear between bars",
        demand=least,
        capacity=max(0.0, clear),
        unit="in",
        source="ACI 318-19, 25.2.1, stones up to 1-1/2 in",
        known=Known.MEMORY,
        note=f"{max(0.0, clear):.2f} in, at least {least:g} in.",
    )


def _covers(case: MatCase) -> list[Check]:
    number = int(case.size[1:])
    upper = 2.0 if number >= 6 else 1.5
    source = "ACI 318-19, table 20.5.1.3.1"
    return [
        compare(
            "lower cover",
            "Cover, lower mat",
            demand=3.0,
            capacity=case.cover_lower_in,
            unit="in",
            source=source,
            known=Known.MEMORY,
            note=f"{case.cover_lower_in:g} in, at least 3 in against earth.",
        ),
        compare(
            "upper cover",
            "Cover, upper mat",
            demand=upper,
            capacity=case.cover_upper_in,
            unit="in",
            source=source,
            known=Known.MEMORY,
            note=f"{case.cover_upper_in:g} in, at least {upper:g} in, {case.size} exposed to weather.",
        ),
        compare(
            "side cover",
            "Cover, sides",
            demand=3.0,
            capacity=case.cover_side_in,
            unit="in",
            source=source,
            known=Known.MEMORY,
            note=f"{case.cover_side_in:g} in, at least 3 in against earth.",
        ),
    ]


def _strengths() -> list[Check]:
    """What this version does not work out, said so that nobody takes silence for a pass."""
    return [
        not_checked(key, title, f"{what}, {ENGINEERS}", source=source, known=Known.MEMORY)
        for key, title, what, source in (
            (
                "bending",
                "Bending",
                "Flexure of both mats, with the part that lifts",
                "ACI 318-19, 22.2 and 13.2.7",
            ),
            ("one-way shear", "One-way shear", "Beam shear of the pad", "ACI 318-19, 22.5.5.1"),
            ("two-way shear", "Two-way shear", "Punching at the legs", "ACI 318-19, 22.6"),
            (
                "anchorage",
                "Anchor bolts",
                "Steel, breakout, pullout, side blowout and fatigue of the anchor bolts",
                "ACI 318-19, chapter 17",
            ),
        )
    ]
