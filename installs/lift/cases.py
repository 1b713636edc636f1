"""From the figures of a lift (a draft's or a release's inputs) to the cases of sitecalc.lift.

A figure typed in the lift wins over the one that tower or turbine give. Each ``..._case`` returns the case,
or the names of what is missing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from installs.lift.models import TOWER_LIFT, row_of
from sitecalc.cases import drawn_from
from sitecalc.figures import declared, read
from sitecalc.lift.chart import ChartCase, Load, PercentLimits, Rating
from sitecalc.lift.crane import Boom, CraneCase, Heights
from sitecalc.lift.figures import Corner, LiftFigures
from sitecalc.lift.ground import MatCase, OutriggerCase
from sitecalc.lift.hanging import HangingCase
from sitecalc.lift.power_lines import LineCase
from sitecalc.lift.raising import RaiseCase, Section
from sitecalc.lift.reeving import LinePullCase
from sitecalc.lift.rigging import SlingCase
from sitecalc.lift.setup import SearchCase
from sitecalc.lift.wind import WindCase

Missing = list[str]
DECLARED = {figure.name: figure for figure in declared(LiftFigures)}
# rows of the catalogue: the figures have them in words, the inputs as they were at hand
ROWS = {name for name, figure in DECLARED.items() if figure.is_row}
WORDS = {"corners": "corners of the load"}
EMPTY = (None, "", ())


@dataclass(frozen=True)
class Figures:
    """The inputs of a lift, as they are declared, with what tower or turbine give behind the empty ones."""

    inputs: Mapping[str, Any]

    @property
    def is_tower(self) -> bool:
        return bool(self.inputs["which"] == TOWER_LIFT)

    @property
    def given(self) -> Mapping[str, Any]:
        return self.inputs.get("given") or {}

    @property
    def on_tube(self) -> bool:
        """The tower that is lifted or stands under the turbine is a tube."""
        return bool(self.given.get("tube"))

    @cached_property
    def typed(self) -> LiftFigures:
        """What was typed in the lift itself."""
        own = {name: value for name, value in self.inputs.items() if name not in ROWS}
        own["corners"] = [_without_empty(row) for row in own.get("corners") or []]
        figures: LiftFigures = read(LiftFigures, own, {"which": self.inputs["which"]})
        return figures

    @cached_property
    def known(self) -> LiftFigures:
        """The typed figure, else the given one, else empty."""
        given: dict[str, Any] = {
            name: _corners(value) if name == "corners" else value
            for name, value in self.given.items()
            if name in DECLARED and getattr(self.typed, name) in EMPTY
        }
        return replace(self.typed, **given)

    def row(self, name: str) -> Mapping[str, Any] | None:
        return row_of(self.inputs, name) or None

    def missing(self, *names: str) -> Missing:
        return [_label(n) for n in names if self._is_missing(n)]

    def _is_missing(self, name: str) -> bool:
        return self.row(name) is None if name in ROWS else getattr(self.known, name) in EMPTY

    @property
    def limits(self) -> PercentLimits:
        """The firm's, or the lift's own where they are stricter."""
        named = {"standard_below": "critical_percent", "permitted_to": "most_percent"}
        known = {
            field: [v for v in (getattr(self.typed, name), self.given.get(name)) if v is not None]
            for field, name in named.items()
        }
        return PercentLimits(**{field: min(values) for field, values in known.items() if values})

    @property
    def corners(self) -> tuple[Corner, ...]:
        """The load's own, and those of the tower that a turbine is set on."""
        stands = _corners(self.given.get("stands") or [])
        return (
            *self.known.corners,
            *(replace(corner, up_ft=corner.up_ft - self.known.over_ft) for corner in stands),
        )

    @property
    def own_corners(self) -> tuple[Corner, ...]:
        """The load without the tower under it."""
        return tuple(c for c in self.corners if c.up_ft >= 0)

    @property
    def sections(self) -> tuple[Section, ...]:
        return tuple(Section(**s) for s in self.given.get("sections") or [])

    @property
    def weight_from(self) -> str:
        """How the weight is known, in words; empty if nobody said."""
        if self.typed.weight_lb is not None:
            return DECLARED["weight_known"].choices.get(self.typed.weight_known, "")
        return str(self.given.get("source", ""))


def _without_empty(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if value is not None}


def _corners(rows: Any) -> tuple[Corner, ...]:
    return tuple(Corner(**_without_empty(row)) for row in rows)


def _label(name: str) -> str:
    return WORDS.get(name) or DECLARED[name].meaning


def load_case(f: Figures) -> Load | Missing:
    missing = f.missing("weight_lb", "block_lb", "rigging_lb", "jib_lb")
    return missing or drawn_from(Load, f.known)


def line_pull_case(f: Figures, load: Load) -> LinePullCase | Missing:
    """The chart's page states the single-line pull; without it nothing is known of the rope."""
    chart, missing = f.row("chart"), f.missing("chart", "line_parts")
    if missing or chart is None:
        return missing
    if chart.get("single_line_lb") is None:
        return ["single-line pull of the crane"]
    return drawn_from(LinePullCase, f.known, hook_lb=load.hook_lb, single_line_lb=chart["single_line_lb"])


def boom_of(crane: Mapping[str, Any]) -> Boom:
    return Boom(
        pin_height_ft=crane["pin_height_ft"],
        pin_behind_ft=crane["pin_behind_ft"],
        depth_ft=crane["boom_depth_ft"],
    )


def heights_case(f: Figures) -> Heights | Missing:
    missing = f.missing("crane", "foot_ft", "pick_ft", "rigging_ft")
    crane = f.row("crane")
    if missing or crane is None:
        return missing
    return drawn_from(Heights, f.known, block_ft=crane["block_height_ft"], two_block_ft=crane["two_block_ft"])


def crane_case(f: Figures) -> CraneCase | Missing:
    heights = heights_case(f)
    missing = [*(heights if isinstance(heights, list) else []), *f.missing("boom_ft", "radius_ft", "corners")]
    crane = f.row("crane")
    if missing or crane is None or isinstance(heights, list):
        return missing
    return drawn_from(CraneCase, f.known, boom=boom_of(crane), heights=heights, corners=f.corners)


def ratings_of(f: Figures) -> tuple[Rating, ...]:
    chart = f.row("chart") or {}
    return tuple(Rating(**row) for row in chart.get("ratings", ()))


def chart_case(f: Figures, load: Load, drift_ft: float) -> ChartCase | Missing:
    missing = f.missing("chart", "boom_ft", "radius_ft")
    if missing:
        return missing
    because = f.known.critical_because
    return drawn_from(
        ChartCase,
        f.known,
        chart=ratings_of(f),
        load=load,
        beyond_ft=f.known.beyond_ft + drift_ft,
        limits=f.limits,
        critical_because=(because,) if because else (),
    )


def search_case(f: Figures, load: Load, drift_ft: float) -> SearchCase | Missing:
    heights, crane = heights_case(f), f.row("crane")
    missing = [*(heights if isinstance(heights, list) else []), *f.missing("chart", "corners")]
    if missing or crane is None or isinstance(heights, list):
        return missing
    ratings = ratings_of(f)
    return drawn_from(
        SearchCase,
        f.known,
        boom=boom_of(crane),
        heights=heights,
        corners=f.corners,
        chart=ratings,
        gross_lb=load.gross_lb,
        beyond_ft=f.known.beyond_ft + drift_ft,
        least_radius_ft=max(10.0, min(r.radius_ft for r in ratings)),
        most_radius_ft=max(r.radius_ft for r in ratings),
        limits=f.limits,
    )


def hanging_case(f: Figures, free_deg: float) -> HangingCase | Missing:
    """``free_deg``: where a tower's foot is free; it hangs so and is raised no further."""
    missing = f.missing("crane", "pick_ft", "rigging_ft", "near_ft", "far_ft", "corners")
    crane = f.row("crane")
    if missing or crane is None:
        return missing
    top, corners = f.known.length_ft, f.own_corners
    if f.is_tower and top is not None and corners:
        # the outline goes on to the tower's top where its corners end lower
        corners = (*corners, Corner(up_ft=top, out_ft=max(corners, key=lambda c: c.up_ft).out_ft))
    return drawn_from(
        HangingCase,
        f.known,
        corners=corners,
        block_ft=crane["block_height_ft"],
        # what stands over a turbine's body is its blades; a tower has nothing beside it
        top_ft=None if f.is_tower or top is None else top,
        raised_to_deg=free_deg,
        is_raised=f.is_tower,
        pick_up_ft=f.known.pick_up_ft if f.is_tower else 0.0,
    )


def raise_case(f: Figures) -> RaiseCase | Missing:
    missing = f.missing("weight_lb", "center_ft", "pick_ft", "length_ft")
    return missing or drawn_from(RaiseCase, f.known)


def wind_case(f: Figures, load: Load, tip_ft: float, hook_ft: float) -> WindCase | Missing:
    missing = f.missing("chart", "sail_ft2")
    chart = f.row("chart")
    if missing or chart is None:
        return missing
    return drawn_from(
        WindCase,
        f.known,
        chart_gust_mph=chart["gust_mph"],
        hook_lb=load.hook_lb,
        tip_ft=tip_ft,
        # the rope and the load lean as one: down to the middle of the load
        rope_ft=max(tip_ft - hook_ft, 0.0) + _reach(f.known.length_ft) / 2,
    )


def _reach(known_ft: float | None) -> float:
    """Of a load whose length is not given nothing is counted."""
    return 0.0 if known_ft is None else known_ft


# what of a tag counts by the hitch
_RATED = {"choker": "choker_lb", "basket": "basket_lb"}


def sling_case(f: Figures) -> SlingCase | Missing:
    missing = f.missing("weight_lb", "near_ft", "far_ft", "rigging_ft")
    if missing:
        return missing
    near, far, shackle = (f.row(n) or {} for n in ("near_sling", "far_sling", "shackle"))

    def leg_ft(sling: Mapping[str, Any]) -> float | None:
        length = sling.get("length_ft")
        return None if length is None else length + f.known.hardware_ft

    return drawn_from(
        SlingCase,
        f.known,
        near_sling_ft=leg_ft(near),
        far_sling_ft=leg_ft(far),
        near_rating_lb=near.get(_RATED.get(f.known.near_hitch, "rating_lb")),
        far_rating_lb=far.get(_RATED.get(f.known.far_hitch, "rating_lb")),
        near_vertical_lb=near.get("rating_lb"),
        far_vertical_lb=far.get("rating_lb"),
        shackle_rating_lb=shackle.get("rating_lb"),
    )


def mat_case(f: Figures, load: Load) -> MatCase | Missing:
    missing = f.missing("crane", "mat_length_ft", "mat_width_ft", "mat_thick_in")
    crane = f.row("crane")
    if missing or crane is None or f.known.mat_length_ft is None:
        return missing
    backfill = f.known.on_backfill
    return drawn_from(
        MatCase,
        f.known,
        outriggers=drawn_from(OutriggerCase, f.known, crane_lb=crane["weight_lb"], gross_lb=load.gross_lb),
        float_ft=min(crane["float_ft"], f.known.mat_length_ft),
        on_backfill=None if backfill == "" else backfill == "yes",
    )


def line_case(f: Figures, drift_ft: float | None) -> LineCase | Missing:
    missing = f.missing("radius_ft", "longest_ft", "tag_line_ft")
    if drift_ft is None:
        missing = [*missing, "drift of the load in the wind"]
    if missing or f.known.longest_ft is None:
        return missing
    # no corner of the load sticks out farther than its longest part
    longest = max([f.known.longest_ft, *(c.out_ft for c in f.own_corners)])
    return drawn_from(LineCase, f.known, drift_ft=drift_ft, longest_ft=longest)
