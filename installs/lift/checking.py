"""Whether a lift holds: every check of it, from the inputs of a draft or a release."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from installs.lift import cases
from installs.lift.cases import Figures
from installs.lift.models import PEOPLE, row_of
from installs.lift.plausible import plausible_checks
from installs.lift.raise_table import RaiseRow, raise_check, raise_rows
from installs.lift.verdicts import never, not_given
from sitecalc.cases import drawn_from, figure_of, worked
from sitecalc.checks import Check, Known, Rule
from sitecalc.inputs import InputError
from sitecalc.lift.chart import (
    PERCENT_OF_CHART,
    ChartCase,
    ChartResult,
    Load,
    OutOfChart,
    percent_of_chart,
)
from sitecalc.lift.crane import BOOM_CLEARANCE, BOOM_TIP, CraneCase, CraneGeometry, crane_geometry
from sitecalc.lift.ground import MAT_BEARING, GroundResult, ground_under_mats
from sitecalc.lift.hanging import HOOK_CLEAR, LEGS_CLEAR, beside_the_load
from sitecalc.lift.power_lines import POWER_LINE, line_clearance
from sitecalc.lift.raising import (
    PICK,
    Bending,
    BendingCase,
    RaiseResult,
    bending_flat,
    keep_out_ft,
    keep_out_under_ft,
    raise_loads,
)
from sitecalc.lift.reeving import LINE_PULL, line_pull
from sitecalc.lift.rigging import LEGS, SHACKLES, TAGS, SlingResult, two_leg_slings
from sitecalc.lift.wind import WIND, WindResult, wind_on_load

WEIGHT = "29 CFR 1926.1417(o), weight from a recognized source before the lift (clause not verified)"
DUTIES = "29 CFR 1926.1425, 1926.1428; 1926.1427 (clause not verified); USACE EM 385-1-1 (2014) 16.H.01"
WEIGHT_KNOWN = Rule("weight-known", "Weight", "lb", WEIGHT, Known.READ)
SLING_GEOMETRY = Rule("sling-geometry", "Slings", "ft", TAGS, Known.READ)
ALL_NAMED = Rule("people", "People", "people", DUTIES, Known.READ)


@dataclass(frozen=True)
class LiftReview:
    """The checks, and what drawings and card are made from; None where figures are missing."""

    figures: Figures
    checks: tuple[Check, ...]
    load: Load | None
    geometry: CraneGeometry | None
    chart: ChartResult | None
    raising: RaiseResult | None
    raise_rows: tuple[RaiseRow, ...]
    bending: Bending | None
    slings: SlingResult | None
    wind: WindResult | None
    ground: GroundResult | None
    keep_out_ft: float | None

    @cached_property
    def set_up(self) -> CraneCase:
        """Where crane and load stand, nothing of it missing: there is one with ``geometry``."""
        case = cases.crane_case(self.figures)
        if isinstance(case, list):
            raise LookupError(f"no set-up to draw: {', '.join(case)}")
        return case

    @property
    def furthest_ft(self) -> float | None:
        """The radius the crew never goes beyond: the chart was read for it."""
        return self.chart.found.asked_radius_ft if self.chart else None

    @property
    def results(self) -> dict[str, Any]:
        """What is frozen with a release beside inputs and checks."""
        return {
            "load": self.load,
            "gross_lb": self.load.gross_lb if self.load else None,
            "geometry": _summary(
                self.geometry, "angle_deg", "tip_ft", "hook_ft", "needed_tip_ft", "least_boom_ft"
            ),
            "chart": _summary(self.chart, "gross_lb", "found", "percent", "lift_class"),
            "raise": list(self.raise_rows),
            "free_deg": self.raising.free_deg if self.raising else None,
            "bending": self.bending,
            "slings": _summary(self.slings, "near", "far", "inward_lb"),
            "wind": _summary(
                self.wind, "limit_gust_mph", "stop_gust_mph", "forecast_mph", "force_lb", "drift_ft"
            ),
            "ground": _summary(self.ground, "outrigger", "mat"),
            "keep_out_ft": self.keep_out_ft,
            "furthest_ft": self.furthest_ft,
        }


def _summary(value: Any, *names: str) -> dict[str, Any] | None:
    return {name: getattr(value, name) for name in names} if value is not None else None


def review_figures(inputs: Mapping[str, Any]) -> LiftReview:
    """All checks of a lift. InputError at the form's field for figures that contradict each other."""
    return _reviewed(Figures(inputs))


def _reviewed(f: Figures) -> LiftReview:
    checks = _weight_check(f)

    def found(case: Any, run: Callable[[Any], Any], *rules: Rule) -> Any:
        """The result, its checks noted; where figures are missing None, and "not checked" by each rule."""
        if isinstance(case, list):
            checks.extend(not_given(rule, case) for rule in rules)
            return None
        result = worked(run, case)
        checks.extend(result.checks)
        return result

    loaded = cases.load_case(f)
    load = None if isinstance(loaded, list) else loaded
    geometry = found(cases.crane_case(f), crane_geometry, BOOM_TIP, BOOM_CLEARANCE)
    wind = found(_wind_case(f, loaded, geometry), wind_on_load, WIND)
    drift = wind.drift_ft if wind else None
    rope = loaded if load is None else cases.line_pull_case(f, load)
    found(rope, line_pull, LINE_PULL)
    chart, chart_checks = _chart(f, loaded, drift)
    checks += chart_checks
    raising: RaiseResult | None = None
    rows: tuple[RaiseRow, ...] = ()
    if f.is_tower:
        raising = found(cases.raise_case(f), raise_loads, PICK)
        if raising and load and chart:
            rows = raise_rows(f, raising, load, chart)
            checks += raise_check(f, rows, chart)
    found(
        cases.hanging_case(f, raising.free_deg if raising else 90.0), beside_the_load, HOOK_CLEAR, LEGS_CLEAR
    )
    slings, sling_checks = _slings(f)
    checks += sling_checks
    mats = loaded if load is None else cases.mat_case(f, load)
    ground = found(mats, ground_under_mats, MAT_BEARING)
    found(cases.line_case(f, drift), line_clearance, POWER_LINE)
    checks += [*plausible_checks(f), *_people_check(f)]
    bending = _bending(f) if f.is_tower else None
    return LiftReview(
        f,
        tuple(checks),
        load,
        geometry,
        chart,
        raising,
        rows,
        bending,
        slings,
        wind,
        ground,
        _keep_out(f, geometry),
    )


def _slings(f: Figures) -> tuple[SlingResult | None, tuple[Check, ...]]:
    """Slings that do not close, or lie too flat, fail; the rest of the lift is still shown."""
    case = cases.sling_case(f)
    if isinstance(case, list):
        return None, tuple(not_given(rule, case) for rule in (LEGS["near"], SHACKLES))
    try:
        result = two_leg_slings(case)
    except InputError as error:
        what = {
            "near_sling_ft": "The near leg",
            "far_sling_ft": "The far leg",
            "height_ft": "That hook height",
        }
        if error.field not in what:
            raise InputError(figure_of(type(case), error.field), error.message) from error
        note = f"{what[error.field]} {error.message}"
        return None, (never(SLING_GEOMETRY, note),)
    return result, result.checks


def _weight_check(f: Figures) -> list[Check]:
    """Open until weight and how it is known are given; a known weight needs no line of its own."""
    if f.known.weight_lb is None:
        return [not_given(WEIGHT_KNOWN, ["weight"])]
    if not f.weight_from:
        return [not_given(WEIGHT_KNOWN, ["how the weight is known"])]
    return []


def _wind_case(f: Figures, loaded: Load | list[str], geometry: CraneGeometry | None) -> Any:
    if isinstance(loaded, list):
        return loaded
    if geometry is None:
        return ["boom tip"]
    return cases.wind_case(f, loaded, geometry.tip_ft, geometry.hook_ft)


def _chart(
    f: Figures, loaded: Load | list[str], drift_ft: float | None
) -> tuple[ChartResult | None, tuple[Check, ...]]:
    """Percent of chart. Without the wind's drift the radius is not known; out of chart, no lift."""
    if isinstance(loaded, list):
        return None, (not_given(PERCENT_OF_CHART, loaded),)
    if drift_ft is None:
        return None, (not_given(PERCENT_OF_CHART, ["drift of the load in the wind"]),)
    case = cases.chart_case(f, loaded, drift_ft)
    if isinstance(case, list):
        return None, (not_given(PERCENT_OF_CHART, case),)
    try:
        result = percent_of_chart(case)
    except OutOfChart as error:
        what = "boom length" if error.field == "boom_ft" else "radius"
        return None, (never(PERCENT_OF_CHART, f"Not permitted: the {what} {error.message}"),)
    except InputError as error:
        raise InputError(figure_of(ChartCase, error.field), error.message) from error
    return result, result.checks


def _bending(f: Figures) -> Bending | None:
    """Moments as the tower leaves the ground, for the tower's engineer; no limit of ours."""
    pick = f.known.pick_ft
    if not f.sections or pick is None or pick > sum(s.length_ft for s in f.sections):
        return None
    return worked(bending_flat, drawn_from(BendingCase, f.known, sections=f.sections))


def _keep_out(f: Figures, geometry: CraneGeometry | None) -> float | None:
    length = f.known.length_ft
    if f.is_tower:
        return keep_out_ft(length) if length is not None else None
    return keep_out_under_ft(geometry.hook_ft) if geometry else None


def _people_check(f: Figures) -> list[Check]:
    """Open until all are named; nobody directs or signals from the operator's seat."""
    named = {name: f.row(name) for name in PEOPLE}
    missing = [name.replace("_", " ") for name, row in named.items() if row is None]
    if f.inputs.get("lift_on") is None:
        missing.append("day of the lift")
    if missing:
        return [not_given(ALL_NAMED, missing)]
    operator = row_of(f.inputs, "operator")["record"]
    twice = [
        n.replace("_", " ") for n in ("lift_director", "signals") if row_of(f.inputs, n)["record"] == operator
    ]
    if not twice:
        return []
    return [
        ALL_NAMED.compare(
            demand=2.0,
            capacity=1.0,
            note=f"The operator cannot be {' and '.join(twice)} too.",
        )
    ]
