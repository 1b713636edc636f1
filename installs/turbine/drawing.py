"""The turbine: front view to scale on its tower's top, head in side view at a larger scale, power curve."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from installs.drafting import Drawing, feet_and_inches, to_svg
from installs.turbine.head_drawing import head_side
from installs.turbine.machine import Machine
from installs.turbine.review import TurbineReview
from sitecalc.figures import by_balloon
from sitecalc.site.curve import CurvePoint
from sitecalc.turbine.figures import TurbineFigures

BALLOONS = by_balloon(TurbineFigures)

FRONT_PX = 330.0
ROOM_FOR_WORDS = 0.85  # in of the power curve, before a speed that is named
FEET_PER_INCH = (1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30)


def draw(draft: Any, review: TurbineReview | None) -> dict[str, str]:
    """SVG by name for the design page: "front", "side", "curve"; nothing while no machine is chosen."""
    if review is None or review.machine is None:
        return {}
    hub = review.results.hub_ft if review.results else None
    return drawings(review.machine, hub, draft.figures.yaw_bolts)


def drawings(
    machine: Machine,
    hub_ft: float | None,
    yaw_bolts: int,
    *,
    balloons: bool = True,
    for_print: bool = False,
    curve_in: float = 7.2,
) -> dict[str, str]:
    """All three; for paper without balloons, in ink only. ``curve_in``: width of the chart."""
    front = front_view(machine, hub_ft, balloons=balloons)
    side = head_side(machine, yaw_bolts, balloons=balloons)
    return {
        "front": to_svg(front, for_print=for_print),
        "side": to_svg(side, for_print=for_print),
        "curve": curve_svg(machine, width_in=curve_in),
    }


def front_view(machine: Machine, hub_ft: float | None, *, balloons: bool = True) -> Drawing:
    """The rotor's circle seen from the wind, hub at the origin, heights above grade where they are known."""
    diameter, radius = machine.rotor_diameter_ft, machine.radius_ft
    per_inch = next((n for n in FEET_PER_INCH if diameter * 96 / n <= FRONT_PX), FEET_PER_INCH[-1])
    d = Drawing(f"Front view of {machine.name}", px_per_ft=96 / per_inch)
    d.circle((0, 0), radius, weight="thin", dash="limit", layer="rotor")
    _tower(d, machine)
    for n in range(machine.blades):
        _blade(d, machine, 90 + 360 * n / machine.blades)
    d.circle((0, 0), 0.05 * radius, weight="bar", fill="blank", layer="rotor")
    d.center_mark((0, 0), 0.05 * radius, 6)
    d.dimension((-radius, radius), (radius, radius), off_px=24, along="horizontal")
    _heights(d, machine, hub_ft)
    if balloons:
        d.balloon((0, 0, -FRONT_PX * 0.36, FRONT_PX * 0.40), BALLOONS["model"], tip=_on_circle(radius, 135))
        d.balloon((radius, 0, 84, 26), BALLOONS["hub_ft"], tip=(radius, 0, 40, 0))
    foot = (-radius, -radius, 0, -62)
    d.drawing_title(foot, "Front view", f"{machine.name}, {machine.blades} blades, seen from the wind")
    d.scale_bar((-radius, -radius, 0, -100))
    return d


def _on_circle(radius: float, degrees: float) -> tuple[float, float]:
    turn = math.radians(degrees)
    return radius * math.cos(turn), radius * math.sin(turn)


def _blade(d: Drawing, machine: Machine, degrees: float) -> None:
    """Widest at a quarter of its length."""
    radius = machine.radius_ft
    turn = math.radians(degrees)
    outline = (
        (0.05, 0.022), (0.12, 0.03), (0.25, 0.062), (1.0, 0.016), (1.0, -0.006), (0.25, -0.02),
        (0.12, -0.02), (0.05, -0.022),
    )  # fmt: skip
    points = [
        (
            radius * (along * math.cos(turn) - side * math.sin(turn)),
            radius * (along * math.sin(turn) + side * math.cos(turn)),
        )
        for along, side in outline
    ]
    d.polygon(points, weight="medium", fill="blank", layer="rotor")


def _tower(d: Drawing, machine: Machine) -> None:
    """Its top, cut off below the rotor."""
    top, low = -machine.hub_above_flange_ft, -1.12 * machine.radius_ft
    half = max(0.4, 0.035 * machine.rotor_diameter_ft)
    wide = half * (1 + 0.025 * (top - low))
    for side in (-1, 1):
        d.line((side * half, top), (side * wide, low), weight="bar", layer="tower")
    d.line((-1.3 * half, top), (1.3 * half, top), weight="heavy", layer="tower")
    d.line((0, top), (0, 0), weight="bar", layer="turbine")
    d.break_line((-1.5 * wide, low), (1.5 * wide, low))


def _heights(d: Drawing, machine: Machine, hub_ft: float | None) -> None:
    radius = machine.radius_ft
    if hub_ft is None:
        d.text((radius, 0, 12, -4), "hub height not given", size=12)
        return
    for y, words in ((radius, "blade tip"), (0.0, "hub"), (-radius, "lowest tip")):
        start = (0.0, y) if y else (0.05 * radius, 0.0)
        d.line((*start, 6, 0), (radius, y, 40, 0), weight="thin", layer="dimension")
        d.text((radius, y, 46, -4), f"{words} {feet_and_inches(hub_ft + y)}", size=12)
    d.text((radius, -radius, 46, -20), "above grade", size=12, ink="pencil")


def curve_svg(machine: Machine, *, width_in: float = 7.2, height_in: float = 2.4) -> str:
    """Power over wind speed at the hub, with the rated power and the rows of the table."""
    speeds = ((machine.cut_in_mph, "cut-in"), (machine.cut_out_mph, "cut-out"))
    return _curve_svg(machine.name, tuple(machine.points), machine.rated_kw, speeds, (width_in, height_in))


@lru_cache(maxsize=64)
def _curve_svg(
    name: str,
    points: tuple[CurvePoint, ...],
    rated_kw: float,
    cuts: tuple[tuple[float | None, str], ...],
    size_in: tuple[float, float],
) -> str:
    from installs.drafting.charts import CLEAR, INK, PENCIL, chart, chart_svg

    figure, axes = chart(*size_in)
    speeds, powers = [p.speed_mph for p in points], [p.power_kw for p in points]
    end = max(1, *speeds, *(speed or 0 for speed, _words in cuts)) * 1.02
    axes.plot(speeds, powers, color=INK, marker=".", markersize=3.5, linewidth=1.2)
    axes.axhline(rated_kw, color=PENCIL, linewidth=0.7, dashes=(10, 4))
    axes.annotate(f"rated {rated_kw:g} kW", (0, rated_kw), (4, 5), textcoords="offset points", **CLEAR)
    for speed, words in cuts:
        if speed is not None:
            axes.axvline(speed, color=PENCIL, linewidth=0.5, dashes=(1, 3))
            # before its line, but for what would stand on the scale there
            side = -1 if speed * size_in[0] > ROOM_FOR_WORDS * end else 1
            at, how = (3 * side, 4), {"ha": "right" if side < 0 else "left", **CLEAR}
            axes.annotate(words, (speed, 0), at, textcoords="offset points", **how)
    axes.set_xlim(0, end)
    axes.set_ylim(0, max(0, *powers, rated_kw) * 1.2)
    axes.set_xlabel("mph at hub height")
    axes.set_ylabel("kW")
    return chart_svg(figure, f"Power curve of {name}")
