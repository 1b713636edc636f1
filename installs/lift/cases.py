"""From the figures of a lift (a draft's or a release's inputs) to the cases of sitecalc.lift.

A figure typed in the lift wins over the one that tower or turbine give. Each ``..._case`` returns the case,
or the names of what is missing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from installs.lift.models import TOWER_LIFT, row_of
from sitecalc.figures import declared
from sitecalc.lift.chart import FIRM_LIMITS, ChartCase, Load, PercentLimits, Rating
from sitecalc.lift.crane import Boom, CraneCase, Heights
from sitecalc.lift.figures import Corner, LiftFigures
from sitecalc.lift.ground import MatCase, OutriggerCase
from sitecalc.lift.power_lines import LineCase
from sitecalc.lift.raising import RaiseCase, Section
from sitecalc.lift.reeving import LinePullCase
from sitecalc.lift.rigging import SlingCase
from sitecalc.lift.setup import SearchCase
from sitecalc.lift.wind import WindCase

Missing = list[str]
# names in words for what has no column of its own
DECLARED = {figure.name: figure for figure in declared(LiftFigures)}
WORDS = {"crane": "crane", "chart": "load chart", "corners": "corners of the load"}


@dataclass(frozen=True)
class Figures:
    """The inputs of a lift by name, with what tower or turbine give behind the empty ones."""

    inputs: Mapping[str, Any]

    @property
    def is_tower(self) -> bool:
        return bool(self.inputs["which"] == TOWER_LIFT)

    @property
    def given(self) -> Mapping[str, Any]:
        return self.inputs.get("given") or {}

    def get(self, name: str) -> Any:
        """The typed figure, else the given one, else None."""
        value = self.inputs.get(name)
        if value in (None, "", []):
            value = self.given.get(name)
        return None if value in ("", []) else value

    def row(self, name: str) -> Mapping[str, Any] | None:
        return row_of(self.inputs, name) or None

    def missing(self, *names: str) -> Missing:
        return [
            _label(n)
            for n in names
            if (self.row(n) if n in WORDS and n != "corners" else self.get(n)) is None
        ]

    @property
    def limits(self) -> PercentLimits:
        """The firm's own; inputs frozen without them have the usual ones."""
        return PercentLimits(
            standard_below=self.get("critical_percent") or FIRM_LIMITS.standard_below,
            permitted_to=self.get("most_percent") or FIRM_LIMITS.permitted_to,
        )

    @property
    def corners(self) -> tuple[Corner, ...]:
        """The load's own, and those of the tower that a turbine is set on."""
        over = self.get("over_ft") or 0.0
        stands = [{**r, "up_ft": r["up_ft"] - over} for r in self.given.get("stands") or []]
        rows = [*(self.get("corners") or []), *stands]
        return tuple(Corner(up_ft=r["up_ft"], out_ft=r["out_ft"], name=r.get("name") or "") for r in rows)

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
        if self.inputs.get("weight_lb") is not None:
            known = self.inputs.get("weight_known") or ""
            return DECLARED["weight_known"].choices.get(known, "")
        return str(self.given.get("source", ""))


def _label(name: str) -> str:
    return WORDS.get(name) or DECLARED[name].meaning


def load_case(f: Figures) -> Load | Missing:
    missing = f.missing("weight_lb", "block_lb", "rigging_lb", "jib_lb")
    if missing:
        return missing
    return Load(
        item_lb=f.get("weight_lb"),
        block_lb=f.get("block_lb"),
        ball_lb=f.get("ball_lb") or 0.0,
        rigging_lb=f.get("rigging_lb"),
        jib_lb=f.get("jib_lb"),
        aux_head_lb=f.get("aux_head_lb") or 0.0,
    )


def line_pull_case(f: Figures, load: Load) -> LinePullCase | Missing:
    """The chart's page states the single-line pull; without it nothing is known of the rope."""
    chart, missing = f.row("chart"), f.missing("chart", "line_parts")
    if missing or chart is None:
        return missing
    if chart.get("single_line_lb") is None:
        return ["single-line pull of the crane"]
    return LinePullCase(
        hook_lb=load.hook_lb, single_line_lb=chart["single_line_lb"], parts=round(f.get("line_parts"))
    )


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
    return Heights(
        foot_ft=f.get("foot_ft"),
        over_ft=f.get("over_ft"),
        pick_ft=f.get("pick_ft"),
        rigging_ft=f.get("rigging_ft"),
        block_ft=crane["block_height_ft"],
        two_block_ft=crane["two_block_ft"],
    )


def crane_case(f: Figures) -> CraneCase | Missing:
    heights = heights_case(f)
    missing = [*(heights if isinstance(heights, list) else []), *f.missing("boom_ft", "radius_ft", "corners")]
    crane = f.row("crane")
    if missing or crane is None or isinstance(heights, list):
        return missing
    return CraneCase(
        boom=boom_of(crane),
        heights=heights,
        corners=f.corners,
        radius_ft=f.get("radius_ft"),
        boom_ft=f.get("boom_ft"),
        clear_ft=f.get("clear_ft"),
    )


def ratings_of(f: Figures) -> tuple[Rating, ...]:
    chart = f.row("chart") or {}
    return tuple(Rating(**row) for row in chart.get("ratings", ()))


def chart_case(f: Figures, load: Load, drift_ft: float) -> ChartCase | Missing:
    missing = f.missing("chart", "boom_ft", "radius_ft")
    if missing:
        return missing
    because = f.get("critical_because")
    return ChartCase(
        chart=ratings_of(f),
        load=load,
        boom_ft=f.get("boom_ft"),
        radius_ft=f.get("radius_ft"),
        beyond_ft=f.get("beyond_ft") + drift_ft,
        limits=f.limits,
        critical_because=(because,) if because else (),
    )


def search_case(f: Figures, load: Load, drift_ft: float) -> SearchCase | Missing:
    heights, crane = heights_case(f), f.row("crane")
    missing = [*(heights if isinstance(heights, list) else []), *f.missing("chart", "corners")]
    if missing or crane is None or isinstance(heights, list):
        return missing
    ratings = ratings_of(f)
    return SearchCase(
        boom=boom_of(crane),
        heights=heights,
        corners=f.corners,
        chart=ratings,
        gross_lb=load.gross_lb,
        beyond_ft=f.get("beyond_ft") + drift_ft,
        clear_ft=f.get("clear_ft"),
        least_radius_ft=max(10.0, min(r.radius_ft for r in ratings)),
        most_radius_ft=max(r.radius_ft for r in ratings),
        limits=f.limits,
    )


def raise_case(f: Figures) -> RaiseCase | Missing:
    missing = f.missing("weight_lb", "center_ft", "pick_ft", "length_ft")
    if missing:
        return missing
    return RaiseCase(
        weight_lb=f.get("weight_lb"),
        center_ft=f.get("center_ft"),
        pick_ft=f.get("pick_ft"),
        pick_up_ft=f.get("pick_up_ft") or 0.0,
        length_ft=f.get("length_ft"),
    )


def wind_case(f: Figures, load: Load, tip_ft: float, hook_ft: float) -> WindCase | Missing:
    missing = f.missing("chart", "sail_ft2")
    chart = f.row("chart")
    if missing or chart is None:
        return missing
    return WindCase(
        chart_gust_mph=chart["gust_mph"],
        hook_lb=load.hook_lb,
        sail_ft2=f.get("sail_ft2"),
        drag=f.get("drag"),
        tip_ft=tip_ft,
        # the rope and the load lean as one: down to the middle of the load
        rope_ft=max(tip_ft - hook_ft, 0.0) + (f.get("length_ft") or 0.0) / 2,
        stop_gust_mph=f.get("stop_gust_mph"),
    )


def sling_case(f: Figures) -> SlingCase | Missing:
    missing = f.missing("weight_lb", "near_ft", "far_ft", "rigging_ft")
    if missing:
        return missing
    near, far, shackle = (f.row(n) or {} for n in ("near_sling", "far_sling", "shackle"))

    def leg_ft(sling: Mapping[str, Any]) -> float | None:
        length = sling.get("length_ft")
        return None if length is None else length + f.get("hardware_ft")

    return SlingCase(
        weight_lb=f.get("weight_lb"),
        near_ft=f.get("near_ft"),
        far_ft=f.get("far_ft"),
        height_ft=f.get("rigging_ft"),
        near_sling_ft=leg_ft(near),
        far_sling_ft=leg_ft(far),
        near_rating_lb=near.get("rating_lb"),
        far_rating_lb=far.get("rating_lb"),
        shackle_rating_lb=shackle.get("rating_lb"),
        shackle_side_deg=f.get("shackle_side_deg") or 0.0,
        dynamic_factor=f.get("dynamic_factor"),
    )


def mat_case(f: Figures, load: Load) -> MatCase | Missing:
    missing = f.missing("crane", "mat_length_ft", "mat_width_ft", "mat_thick_in")
    crane = f.row("crane")
    if missing or crane is None:
        return missing
    backfill = f.get("on_backfill")
    return MatCase(
        outriggers=OutriggerCase(
            crane_lb=crane["weight_lb"], gross_lb=load.gross_lb, outrigger_lb=f.get("outrigger_lb")
        ),
        mat_length_ft=f.get("mat_length_ft"),
        mat_width_ft=f.get("mat_width_ft"),
        mat_thick_in=f.get("mat_thick_in"),
        mat_lb=f.get("mat_lb") or 0.0,
        float_ft=min(crane["float_ft"], f.get("mat_length_ft")),
        soil_psf=f.get("soil_psf"),
        on_backfill=None if backfill is None else backfill == "yes",
        excavation_off_ft=f.get("excavation_off_ft"),
        excavation_deep_ft=f.get("excavation_deep_ft"),
        mat_bending_psi=f.get("mat_bending_psi"),
        mat_shear_psi=f.get("mat_shear_psi"),
    )


def line_case(f: Figures) -> LineCase | Missing:
    missing = f.missing("radius_ft")
    if missing:
        return missing
    # the boom tip at the furthest radius, and a tower turning about the hook reaches out by its length
    beyond = (f.get("length_ft") or 0.0) if f.is_tower else (f.get("near_ft") or 0.0)
    return LineCase(
        distance_ft=f.get("line_ft"),
        kilovolts=f.get("line_kv"),
        none_within_ft=f.get("no_line_ft"),
        reach_ft=f.get("radius_ft") + f.get("beyond_ft") + beyond,
        table_a_kept=bool(f.get("table_a_kept")),
    )
