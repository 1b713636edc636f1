"""The head in side view, wind from the left: body, hub with its blades cut off, tail, yaw flange."""

from __future__ import annotations

from installs.drafting import Drawing
from installs.turbine.machine import Machine
from sitecalc.figures import by_balloon
from sitecalc.turbine.figures import TurbineFigures

BALLOONS = by_balloon(TurbineFigures)

FEET_PER_INCH = (0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)
WIDEST_PX = 430.0


def head_side(machine: Machine, yaw_bolts: int, *, balloons: bool = True) -> Drawing:
    """The yaw flange's middle is the origin; 0 bolts: not said."""
    front, back = _ends(machine)
    left = min(front, -machine.hub_ahead_ft - 0.8)
    right = max(back, machine.tail_ft)
    per_inch = next((n for n in FEET_PER_INCH if (right - left) * 96 / n <= WIDEST_PX), FEET_PER_INCH[-1])
    d = Drawing(f"Head of {machine.name}", px_per_ft=96 / per_inch)
    cut = max(machine.body_height_ft, 0.16 * (right - left))
    _tower_top(d, machine, cut)
    if machine.tail_ft > back:
        _tail(d, machine, back)
    _body(d, machine, front, back)
    _hub(d, machine, cut)
    _center(d, machine, cut)
    _dimensions(d, machine, right, cut)
    if balloons:
        _balloons(d, machine, cut, back)
    low = min(-1.5 * cut, machine.hub_above_flange_ft - 1.3 * cut)
    d.drawing_title((left, low, 0, -66), "Head, side view", _under(yaw_bolts))
    step = next(n for n in (0.25, 0.5, 1, 2, 5) if n * d.px_per_ft >= 36)
    d.scale_bar((left, low, 0, -104), step)
    return d


def _under(yaw_bolts: int) -> str:
    return f"{yaw_bolts} yaw-flange bolts, blades cut off" if yaw_bolts else "blades cut off"


def _ends(machine: Machine) -> tuple[float, float]:
    """Front and back of the body along the shaft, behind an upwind rotor or ahead of a downwind one."""
    length, hub = machine.body_length_ft, -machine.hub_ahead_ft
    gap = 0.08 * length
    return (hub + gap, hub + gap + length) if hub <= 0 else (hub - gap - length, hub - gap)


def _half_flange(machine: Machine) -> float:
    return max(0.35, 0.13 * machine.body_length_ft)


def _tower_top(d: Drawing, machine: Machine, cut: float) -> None:
    half = _half_flange(machine)
    foot = -1.3 * cut
    for side in (-1, 1):
        d.line((side * half, -0.1), (side * half * 1.2, foot), weight="bar", layer="tower")
        d.rectangle(
            side * half * 1.2 - 0.06, -0.32, 0.12, 0.64, weight="medium", fill="ink", layer="anchor bolt"
        )
    d.break_line((-half * 1.6, foot), (half * 1.6, foot))
    d.rectangle(-half * 1.5, -0.13, half * 3, 0.13, weight="medium", layer="tower", fill="blank")
    d.rectangle(-half * 1.5, 0, half * 3, 0.13, weight="medium", layer="turbine", fill="blank")
    bearing = machine.hub_above_flange_ft - machine.body_height_ft / 2
    if bearing > 0.15:
        d.rectangle(-half * 0.85, 0.13, half * 1.7, bearing - 0.13, layer="turbine", fill="blank")
    top = machine.hub_above_flange_ft + machine.body_height_ft / 2
    d.line((0, foot, 0, -8), (0, top, 0, 26), weight="thin", dash="axis", layer="axis")


def _body(d: Drawing, machine: Machine, front: float, back: float) -> None:
    mid, half = machine.hub_above_flange_ft, machine.body_height_ft / 2
    nose = (back - front) * 0.1
    d.polygon(
        [
            (front, mid - 0.5 * half), (front + nose, mid - half), (back - nose, mid - half),
            (back, mid - 0.55 * half), (back, mid + 0.55 * half), (back - nose, mid + half),
            (front + nose, mid + half), (front, mid + 0.5 * half),
        ],
        weight="heavy",
        layer="turbine",
        fill="blank",
    )  # fmt: skip


def _tail(d: Drawing, machine: Machine, back: float) -> None:
    mid, end = machine.hub_above_flange_ft, machine.tail_ft
    long, high = 0.35 * (end - back) + 0.5, 0.15 * machine.rotor_diameter_ft
    off = 0.05 * machine.body_height_ft
    for side in (-1, 1):
        d.line((back - 0.3, mid + side * off), (end - long, mid + side * off), layer="turbine")
    d.polygon(
        [
            (end - long, mid - 0.35 * high), (end, mid - 0.6 * high), (end, mid + high),
            (end - 0.75 * long, mid + 0.8 * high),
        ],
        weight="medium",
        layer="turbine",
        fill="blank",
    )  # fmt: skip


def _hub(d: Drawing, machine: Machine, cut: float) -> None:
    x, mid = -machine.hub_ahead_ft, machine.hub_above_flange_ft
    size = 0.3 * machine.body_height_ft
    for way in (1, -1):
        root, end = mid + way * size, mid + way * cut
        wide = 0.035 * machine.rotor_diameter_ft / 2
        d.polygon(
            [(x - wide / 2, root), (x - wide, end), (x + wide, end), (x + wide / 2, root)],
            weight="",
            fill="blank",
            layer="rotor",
        )
        for side in (-1, 1):
            d.line((x + side * wide / 2, root), (x + side * wide, end), layer="rotor")
        d.break_line((x - wide * 1.5, end), (x + wide * 1.5, end))
    d.circle((x, mid), size, weight="heavy", fill="blank", layer="rotor")
    d.line((x, mid, -30, 0), (0, mid, 30, 0), weight="thin", dash="axis", layer="axis")


def _center(d: Drawing, machine: Machine, cut: float) -> None:
    note = f"head with rotor {machine.head_weight_lb:,.0f} lb"
    if machine.center_above_flange_ft is None or machine.center_ahead_ft is None:
        d.text(
            (0.4, machine.hub_above_flange_ft + cut, 0, 24), f"{note}, center of gravity not given", size=12
        )
        return
    at = (-machine.center_ahead_ft, machine.center_above_flange_ft)
    d.circle(at, radius_px=6, weight="medium", fill="blank", layer="center of gravity")
    d.center_mark(at, 0, 10)
    words = (
        f"{note},\ncenter of gravity {_inches(machine.center_ahead_ft)} ahead\n"
        f"of yaw axis, {_inches(machine.center_above_flange_ft)} above flange"
    )
    top = machine.hub_above_flange_ft + machine.body_height_ft / 2
    d.leader(at, (0.4, top, 26, 98), words, size=12)


def _inches(feet: float) -> str:
    """Whole inches, as a tape reads."""
    inches = round(abs(feet) * 12)
    words = f"{inches // 12} ft {inches % 12} in" if inches >= 12 else f"{inches} in"
    return f"-{words}" if feet < 0 and inches else words


def _dimensions(d: Drawing, machine: Machine, right: float, cut: float) -> None:
    x, mid = -machine.hub_ahead_ft, machine.hub_above_flange_ft
    if machine.hub_ahead_ft:
        words = _inches(abs(machine.hub_ahead_ft))
        d.dimension((x, mid + cut), (0, mid + cut), off_px=20, along="horizontal", text=words)
    if machine.tail_ft > 0:
        low = min(mid - cut, -0.4)
        words = _inches(machine.tail_ft)
        d.dimension((0, low), (machine.tail_ft, low), off_px=-18, along="horizontal", text=words)
    if mid > 0:
        d.dimension((right, 0), (right, mid), off_px=24, along="vertical", text=_inches(mid))
        d.line((_half_flange(machine) * 1.5, 0, 6, 0), (right, 0, 20, 0), weight="thin", layer="dimension")


def _balloons(d: Drawing, machine: Machine, cut: float, back: float) -> None:
    x, mid, half = -machine.hub_ahead_ft, machine.hub_above_flange_ft, _half_flange(machine)
    d.balloon((-half * 1.5, -0.5 * cut, -40, 0), BALLOONS["yaw_bolts"], tip=(-half * 1.2, -0.3))
    d.balloon((x, mid - cut, -34, 10), BALLOONS["brake_method"], tip=(x, mid, -4, -4))
    d.balloon((x, mid - cut, -34, -18), BALLOONS["lock_method"], tip=(x, mid, 0, -8))
