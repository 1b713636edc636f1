"""The tower's first frequency as a line between what the rotor excites: 1P and BP as bars over Hz."""

from __future__ import annotations

from collections.abc import Callable

from installs.drafting.letters import ROUTED
from installs.drafting.shapes import Lettering, Pen, Segments, Shape, Stroke
from installs.drafting.svg import svg_document
from installs.tower.facts import FrequencyFacts, Head, TowerFacts

LEFT, WIDTH, ROW = 40.0, 420.0, 34.0
THIN, MEDIUM, BAR, HEAVY, OVER = Pen("thin"), Pen("medium"), Pen("bar"), Pen("heavy"), Pen("over")


def frequency_svg(facts: TowerFacts, *, for_print: bool = False) -> str:
    """Operation is a heavy bar, run-up a dashed line, the tower a heavy upright with its margin toned.

    ValueError without a frequency.
    """
    found, head = facts.frequency, facts.head
    if found is None or head is None:
        raise ValueError("there is no frequency to draw")
    most = _most_hz(found, head)

    def x(hz: float) -> float:
        return LEFT + WIDTH * hz / most

    rows = len(found.bands)
    foot = 34 + rows * ROW
    shapes: list[Shape] = [*_margin(found, x, foot), *_axis(most, x, foot)]
    for index, band in enumerate(found.bands):
        shapes += _row(head, band.per_turn, 30 + index * ROW + 12, x)
    shapes += [
        Stroke(((x(found.first_hz), 20), (x(found.first_hz), foot)), HEAVY),
        Lettering(
            (x(found.first_hz), 13), f"tower {found.first_hz:.3g} Hz", 14, "middle", family=ROUTED, blank=True
        ),
    ]
    for variant in found.variants:
        shapes.append(Stroke(((x(variant.hz), 20), (x(variant.hz), 27)), MEDIUM))
    said = "; ".join(band.sentence for band in found.bands)
    return svg_document(
        (("frequency", shape) for shape in shapes),
        title=f"Tower {found.first_hz:.3g} Hz and rotor speed",
        description=said,
        box=(0, 0, LEFT + WIDTH + 60, foot + 40),
        for_print=for_print,
    )


def _most_hz(found: FrequencyFacts, head: Head) -> float:
    """The end of the axis: past the tower and past what the fastest rotor excites."""
    fastest = head.overspeed_rpm or head.speed_high_rpm or 0.0
    excited = fastest * max(band.per_turn for band in found.bands) / 60
    return 1.12 * max(found.first_hz * 1.15, excited, 0.1)


def _margin(found: FrequencyFacts, x: Callable[[float], float], foot: float) -> list[Shape]:
    """The band in which the rotor must not keep turning."""
    band = found.bands[0]
    low, high = band.low_rpm * band.per_turn / 60, band.high_rpm * band.per_turn / 60
    corners = ((x(low), 20), (x(high), 20), (x(high), foot), (x(low), foot))
    edges = [Stroke(((x(hz), 20), (x(hz), foot)), Pen("thin", "limit")) for hz in (low, high)]
    return [Stroke(corners, Pen("", fill="fold"), closed=True), *edges]


def _axis(most: float, x: Callable[[float], float], foot: float) -> list[Shape]:
    step = next(s for s in (0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50) if most / s <= 9)
    ticks, shapes = [], []
    for n in range(int(most / step) + 1):
        ticks.append(((x(n * step), foot), (x(n * step), foot + 5)))
        shapes.append(Lettering((x(n * step), foot + 19), f"{n * step:g}", 12, "middle"))
    line = Stroke(((LEFT, foot), (LEFT + WIDTH, foot)), MEDIUM)
    return [line, Segments(tuple(ticks), THIN), *shapes, Lettering((LEFT + WIDTH + 10, foot + 19), "Hz", 12)]


def _row(head: Head, per_turn: int, y: float, x: Callable[[float], float]) -> list[Shape]:
    """One multiple of the rotor's speed: run-up, operation, overspeed."""
    shapes: list[Shape] = [Lettering((LEFT - 14, y + 5), f"{per_turn}P", 14, "end", family=ROUTED)]
    low, high, over = head.speed_low_rpm, head.speed_high_rpm, head.overspeed_rpm
    if low is None or high is None:
        shapes.append(Lettering((LEFT + 6, y + 5), "speeds of operation not given", 12))
        return shapes
    a, b = x(per_turn * low / 60), x(per_turn * high / 60)
    shapes.append(Stroke(((LEFT, y), (a, y)), Pen("medium", "tentative")))
    shapes.append(
        Stroke(((a, y - 4), (b, y - 4), (b, y + 4), (a, y + 4)), Pen("medium", fill="ink"), closed=True)
    )
    end = b
    if over is not None and over > high:
        end = x(per_turn * over / 60)
        shapes.append(Stroke(((b, y), (end, y)), Pen("medium", "tentative")))
        shapes.append(Stroke(((end, y - 5), (end, y + 5)), MEDIUM))
    shapes.append(Lettering((end + 7, y + 4), f"{low:g} to {high:g} rpm", 12, blank=True))
    return shapes
