"""The figures of a lift: the crane as it stands, what hangs on it, rigging, ground, people and day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from typing import Literal

from sitecalc.inputs import quantity


@dataclass(frozen=True, kw_only=True)
class Corner:
    """A corner of the load toward the boom: its height above the load's foot, and how far it stands out."""

    up_ft: float = quantity(
        "ft",
        "corner above the foot of the load; below it: less than nothing",
        low=-400,
        high=400,
        label="Above its foot",
    )
    out_ft: float = quantity(
        "ft",
        "corner from the hook line toward the boom",
        low=0,
        high=100,
        label="Out from the hook line",
    )
    name: str = quantity("", "what stands there", default="", label="What stands there", size=18)


@dataclass(frozen=True, kw_only=True)
class LiftFigures:
    """One lift of a job. An empty weight, length or profile is taken from the tower or turbine design.

    Crane, chart, tags and people are rows of the catalogue: here in words.
    """

    which: str = quantity("", "which", row=True)
    crane: str | None = quantity("", "crane", default=None, row=True, balloon=1)
    chart: str | None = quantity("", "load chart", default=None, row=True, balloon=2)
    boom_ft: float | None = quantity("ft", "boom length", low=10, high=500, default=None, balloon=3)
    radius_ft: float | None = quantity("ft", "radius, taped", low=3, high=400, default=None, balloon=4)
    beyond_ft: float = quantity(
        "ft", "deflection and taping on top of it", low=0, high=30, default=2.0, balloon=5
    )
    clear_ft: float = quantity("ft", "kept between boom and load", low=1, high=30, default=3.0, balloon=6)
    critical_percent: float | None = quantity(
        "%",
        "critical lift at, percent of chart",
        low=10,
        high=75,
        default=None,
        help="Empty: the firm's limit. A lift may be stricter.",
        balloon=60,
    )
    most_percent: float | None = quantity(
        "%",
        "stop limit, percent of chart",
        low=10,
        high=100,
        default=None,
        help="Empty: the firm's limit. A lift may be stricter.",
        balloon=61,
    )
    critical_because: str = quantity("", "other reason it is critical", default="", most=120, balloon=62)
    foot_ft: float | None = quantity(
        "ft", "what it is set on, above grade at the crane", low=-50, high=300, default=None, balloon=7
    )
    over_ft: float = quantity("ft", "carried over the bolts", low=0.5, high=50, default=3.0, balloon=8)
    pick_ft: float | None = quantity(
        "ft", "pick points above its foot", low=0, high=400, default=None, balloon=9
    )
    rigging_ft: float | None = quantity(
        "ft", "pick points up to the hook", low=0.5, high=100, default=None, balloon=10
    )
    weight_lb: float | None = quantity("lb", "weight", low=50, high=500_000, default=None, balloon=11)
    weight_known: Literal["weighed", "certificate", "calculated", ""] = quantity(
        "",
        "how the weight is known",
        default="",
        choices={"certificate": "maker's certificate", "calculated": "calculated from the pieces"},
        balloon=12,
    )
    block_lb: float | None = quantity("lb", "hook block", low=0, high=50_000, default=None, balloon=13)
    ball_lb: float = quantity("lb", "whip-line ball", low=0, high=20_000, default=0.0, balloon=15)
    line_parts: float | None = quantity(
        "", "parts of line as reeved", low=1, high=20, default=None, whole=True, balloon=14
    )
    rigging_lb: float | None = quantity(
        "lb", "slings and shackles", low=0, high=50_000, default=None, balloon=16
    )
    jib_lb: float | None = quantity(
        "lb", "stowed jib, as the chart deducts it", low=0, high=50_000, default=None, balloon=17
    )
    aux_head_lb: float = quantity("lb", "auxiliary head", low=0, high=20_000, default=0.0, balloon=18)
    length_ft: float | None = quantity("ft", "height of it", low=1, high=400, default=None, balloon=19)
    center_ft: float | None = quantity(
        "ft", "center of gravity above its foot", low=0, high=400, default=None, balloon=20
    )
    corners: tuple[Corner, ...] = quantity(
        "", "corners toward the boom", default=(), blank_rows=3, balloon=63
    )
    sail_ft2: float | None = quantity("ft2", "wind area", low=0, high=20_000, default=None, balloon=21)
    drag: float = quantity("", "drag factor", low=0.3, high=4, default=2.0, balloon=22)
    stop_gust_mph: float | None = quantity(
        "mph", "gust at which we stop, at the tip", low=3, high=45, default=None, balloon=23
    )
    foot: Literal["walked in", "hinged"] = quantity(
        "",
        "base while it is raised",
        default="walked in",
        choices={"walked in": "base tailed in on a skid, hook stays", "hinged": "base hinged, hook travels"},
        balloon=24,
    )
    pick_up_ft: float = quantity(
        "ft", "pick off the axis, upper side", low=-10, high=10, default=0.0, balloon=25
    )
    flat_radius_ft: float | None = quantity(
        "ft", "radius while flat, if the hook travels", low=3, high=400, default=None, balloon=26
    )
    near_ft: float | None = quantity(
        "ft", "hook line to the near pick", low=0, high=100, default=None, balloon=27
    )
    far_ft: float | None = quantity(
        "ft", "hook line to the far pick", low=0, high=100, default=None, balloon=28
    )
    near_sling: str | None = quantity("", "near leg", default=None, row=True, balloon=29)
    far_sling: str | None = quantity("", "far leg", default=None, row=True, balloon=30)
    near_hitch: Literal["vertical", "choker", "basket", ""] = quantity(
        "", "near leg's hitch", default="", balloon=29
    )
    far_hitch: Literal["vertical", "choker", "basket", ""] = quantity(
        "", "far leg's hitch", default="", balloon=30
    )
    choke_deg: float | None = quantity(
        "deg", "angle of choke, the sharper of the two", low=0, high=180, default=None, balloon=30
    )
    hardware_ft: float = quantity(
        "ft", "shackles and links in a leg", low=0, high=10, default=0.5, balloon=31
    )
    shackle: str | None = quantity("", "smallest shackle", default=None, row=True, balloon=32)
    shackle_side_deg: float = quantity(
        "deg", "shackle side-load angle", low=0, high=90, default=0.0, balloon=33
    )
    dynamic_factor: float = quantity(
        "", "dynamic factor on the slings", low=1, high=2, default=1.1, balloon=34
    )
    mat_length_ft: float | None = quantity(
        "ft", "mat, longer side", low=0.5, high=40, default=None, balloon=35
    )
    mat_width_ft: float | None = quantity(
        "ft", "mat, shorter side", low=0.5, high=20, default=None, balloon=36
    )
    mat_thick_in: float | None = quantity("in", "mat thickness", low=0.5, high=36, default=None, balloon=37)
    mat_lb: float = quantity("lb", "weight of a mat", low=0, high=50_000, default=0.0, balloon=38)
    soil_psf: float | None = quantity(
        "psf", "bearing allowed under the mats", low=0, high=20_000, default=None, balloon=39
    )
    on_backfill: Literal["yes", "no", ""] = quantity("", "a mat stands on backfill", default="", balloon=40)
    soil_class: Literal[
        "clay or silt", "sand", "gravel", "sedimentary rock", "crystalline rock", "fill", "soil report", ""
    ] = quantity(
        "",
        "soil that bears them",
        default="",
        choices={"fill": "fill or organic", "soil report": "as a soil report of this place says"},
        balloon=39,
    )
    excavation_off_ft: float | None = quantity(
        "ft", "nearest mat to an excavation's toe", low=0, high=2000, default=None, balloon=41
    )
    excavation_deep_ft: float | None = quantity(
        "ft", "depth of that excavation", low=0, high=100, default=None, balloon=42
    )
    outrigger_lb: float | None = quantity(
        "lb", "outrigger load by the maker", low=0, high=2e06, default=None, balloon=43
    )
    mat_bending_psi: float | None = quantity(
        "psi", "mat, allowable bending", low=1, high=60_000, default=None, balloon=44
    )
    mat_shear_psi: float | None = quantity(
        "psi", "mat, allowable shear", low=1, high=40_000, default=None, balloon=45
    )
    level_percent: float = quantity("%", "crane level within", low=0.1, high=3, default=1.0, balloon=46)
    line_ft: float | None = quantity(
        "ft", "nearest power line, from the crane", low=0, high=50_000, default=None, balloon=47
    )
    line_kv: float | None = quantity("kV", "its voltage", low=0, high=2000, default=None, balloon=48)
    no_line_ft: float | None = quantity(
        "ft", "if no power line: none within", low=0, high=50_000, default=None, balloon=49
    )
    longest_ft: float | None = quantity(
        "ft",
        "longest part out from the hook line (rotor, tower lying)",
        low=0,
        high=400,
        default=None,
        balloon=47,
    )
    tag_line_ft: float | None = quantity(
        "ft", "tag lines, out from the hook line", low=0, high=400, default=None, balloon=47
    )
    table_a_kept: bool = quantity(
        "", "utility confirmed the voltage; spotter, warning line, dry tag lines", default=False, balloon=50
    )
    lift_director: str | None = quantity("", "lift director", default=None, row=True, balloon=51)
    operator: str | None = quantity("", "operator", default=None, row=True, balloon=52)
    rigger: str | None = quantity("", "rigger", default=None, row=True, balloon=53)
    signals: str | None = quantity("", "signals", default=None, row=True, balloon=54)
    foreman: str | None = quantity("", "foreman", default=None, row=True, balloon=55)
    radio: str = quantity("", "radio channel", default="", most=20, aside=True, balloon=56)
    lift_on: date | None = quantity("", "lift on", default=None, balloon=57)
    lift_at: time | None = quantity("", "begin at", default=None, aside=True, balloon=58)
    weather_day: date | None = quantity("", "weather day", default=None, balloon=59)
