"""Pressure on the ground under the pad: lines of equal pressure under the governing wind, and a pad a wind.

The pressure is a plane over the part that bears, so its lines are straight and evenly apart; the harder it
presses, the heavier the line. Drawn in px, for a phone's width.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from installs.drafting import Drawing
from installs.drafting.dimensions import arrowhead
from installs.drafting.frame import Frame
from installs.drafting.letters import NOTE, wrapped
from installs.drafting.shapes import Pair, Pen, Shape, Stroke
from installs.foundation.facts import FoundationFacts
from installs.foundation.legs import leg_places
from installs.foundation.plan import hardest_pressed, octagon, zero_line
from sitecalc.checks import Check, Verdict, readable
from sitecalc.foundation.pad import OVERTURNS, BearingCase, WindBearing, from_the, leeward
from sitecalc.foundation.words import COMPASS

PAD_PX, SMALL_PX = 210.0, 42.0
CELL_PX, ROW_PX, A_ROW = 88.0, 128.0, 4
LEFT_PX, WORDS_PX = 60.0, 340.0  # beside the pad, for the words at its corners
LINES = 8  # of equal pressure, about
APART_PX = 44.0  # between two that carry their figure
NAMED_PX = 104.0  # a shorter line lies too near the edge for its figure
POINTS = COMPASS[::2]  # N, NE, E ...


def pressure_drawing(facts: FoundationFacts, checks: Iterable[Check] = ()) -> Drawing | None:
    """Under the governing wind; the corner is ringed where bearing fails. None while loads are not given."""
    case = facts.governing
    if case is None:
        return None
    scale = PAD_PX / max(facts.side_ft, facts.across_ft)
    d = Drawing(f"Pressure under the pad, wind from {from_the(case.wind_from)}", 1.0, _told(facts, case))
    at = _Placed(facts, (LEFT_PX, 0.0), scale)
    fails = any(check.key == "bearing" and check.verdict == Verdict.FAILS for check in checks)
    middle = at.px((facts.side_ft / 2, facts.across_ft / 2))
    _legs(d, at)
    if case.held is not None:
        _lifting(d, at, facts)
        _lines(d, at, case, _step(case), facts.allowable_psf, figures=True)
    _pad(d, at, "heavy")
    if case.held is None:
        d.text(middle, OVERTURNS, NOTE + 2, "middle", bold=True, blank=True)
    else:
        _corners(d, at, case, 22.0 if fails else 6.0)
    if fails:
        place = at.px(hardest_pressed(case, facts)) if case.held else (middle[0], middle[1] + 4)
        d.crayon_loop(place, 40 if case.held else 0.9 * PAD_PX, 40)
    _wind(d, (LEFT_PX / 2, at.px((0, facts.across_ft))[1] - 26), case.wind_from, 40)
    lines = [line for words in _said(facts, case) for line in wrapped(words, WORDS_PX, NOTE)]
    for row, words in enumerate(lines):
        d.text((0, -48.0 - row * 17), words, NOTE)
    return d


def winds_drawing(facts: FoundationFacts, winds: Sequence[WindBearing]) -> Drawing | None:
    """A small pad for each of eight winds; the one that presses hardest is heavy."""
    found = {wind.hardest.wind_from: wind for wind in winds}
    shown = [found[point] for point in POINTS if point in found]
    if not shown:
        return None
    most = max(wind.hardest.pressure_psf for wind in shown)
    step = max(_step(wind.hardest) for wind in shown)
    said = "; ".join(f"{wind.hardest.wind_from} {_short(wind)}" for wind in shown)
    d = Drawing("Pressure under the pad by wind direction", 1.0, f"{said}.")
    scale = SMALL_PX / max(facts.side_ft, facts.across_ft)
    for place, wind in enumerate(shown):
        left, top = CELL_PX * (place % A_ROW), -ROW_PX * (place // A_ROW)
        high = facts.across_ft * scale
        corner = left + (CELL_PX - facts.side_ft * scale) / 2, top - 30 - (SMALL_PX + high) / 2
        at = _Placed(facts, corner, scale)
        case, heavy = wind.hardest, wind.hardest.pressure_psf >= most * (1 - 1e-9)
        _pad(d, at, "heavy" if heavy else "medium")
        if case.held is not None:
            _lines(d, at, case, step, facts.allowable_psf)
        _wind(d, _windward(at, case.wind_from), case.wind_from, 16)
        middle, foot = left + CELL_PX / 2, top - 30 - SMALL_PX - 36
        # on the side that the wind does not come from
        west = leeward(case.wind_from)[0] > 1e-6
        beside = (left + CELL_PX - 10, "end") if west else (left + 10, "start")
        d.text((beside[0], top - 18), case.wind_from, NOTE + 1, beside[1], routed=True, bold=heavy)
        for row, words in enumerate(_cell(wind, facts.allowable_psf)):
            d.text((middle, foot - row * 14), words, NOTE, "middle", bold=heavy and not row)
    return d


class _Placed:
    """A pad's feet (from its southwest corner) on the sheet."""

    def __init__(self, facts: FoundationFacts, corner_px: Pair, scale: float) -> None:
        self.facts, self.corner_px, self.scale = facts, corner_px, scale

    def px(self, at: Pair) -> Pair:
        return self.corner_px[0] + at[0] * self.scale, self.corner_px[1] + at[1] * self.scale


def _pad(d: Drawing, at: _Placed, weight: str) -> None:
    facts = at.facts
    if facts.outline == "circle":
        middle = at.px((facts.side_ft / 2, facts.across_ft / 2))
        d.circle(middle, radius_px=facts.side_ft / 2 * at.scale, weight=weight, layer="concrete")
        return
    square = [(0.0, 0.0), (facts.side_ft, 0.0), (facts.side_ft, facts.across_ft), (0.0, facts.across_ft)]
    corners = octagon(facts.side_ft) if facts.outline == "octagon" else square
    d.polygon([at.px(corner) for corner in corners], weight, layer="concrete")


def _legs(d: Drawing, at: _Placed) -> None:
    facts = at.facts
    for x, y in leg_places(facts.legs):
        middle = at.px((x + facts.side_ft / 2, y + facts.across_ft / 2))
        if facts.legs.legs == 0:
            d.circle(
                middle, radius_px=(facts.legs.spacing_ft or 0.0) / 2 * at.scale, weight="thin", layer="under"
            )
        else:
            d.rectangle(middle[0] - 5, middle[1] - 5, 10, 10, weight="thin", layer="under")


def _lines(
    d: Drawing, at: _Placed, case: BearingCase, step: float, allowable: float | None, *, figures: bool = False
) -> None:
    """At each step of pressure; with ``figures`` so many are named as stand apart."""
    assert case.held is not None
    _a, b, c = case.held.plane
    steep = math.hypot(b, c)
    if not steep:
        return
    apart = step / steep * at.scale
    # figures stand one beside the other where the lines are upright, one over the other where they lie
    room = APART_PX * abs(b) / steep + 16 * abs(c) / steep
    every = max(1, math.ceil(room / apart))
    top = allowable or case.held.q_max_psf
    named: list[tuple[Pair, str]] = []
    for n in range(1, int(case.held.q_max_psf / step) + 1):
        ends = level(case.held.corners, case.held.plane, n * step)
        if ends is None:
            continue
        one, other = (at.px((x + at.facts.side_ft / 2, y + at.facts.across_ft / 2)) for x, y in ends)
        d.line(one, other, _weight(n * step / top), layer="pressure")
        if figures and n % every == 0 and math.dist(one, other) > NAMED_PX:
            named.append((((one[0] + other[0]) / 2, (one[1] + other[1]) / 2 - 4), f"{n * step:,.0f}"))
    for middle, words in named:
        d.text(middle, words, NOTE, "middle", blank=True, layer="figures")


def _weight(share: float) -> str:
    """Heavier by quarters of what the ground is allowed; past that the heaviest."""
    return ("thin", "hatch", "medium", "bar", "over")[min(4, int(4 * share - 1e-9))]


def level(corners: Sequence[Pair], plane: tuple[float, float, float], psf: float) -> tuple[Pair, Pair] | None:
    """Where a line of equal pressure enters and leaves the part that bears."""
    a, b, c = plane
    over = [a + b * x + c * y - psf for x, y in corners]
    found: list[Pair] = []
    for (p, q), (one, other) in zip(
        zip(over, [*over[1:], over[0]], strict=True),
        zip(corners, [*corners[1:], corners[0]], strict=True),
        strict=True,
    ):
        if (p < 0) != (q < 0):
            t = p / (p - q)
            found.append((one[0] + t * (other[0] - one[0]), one[1] + t * (other[1] - one[1])))
    return (found[0], found[1]) if len(found) == 2 else None


def _step(case: BearingCase) -> float:
    """From line to line: a round share of what the pressure differs by."""
    if case.held is None:
        return 1.0
    a, b, c = case.held.plane
    least = min(a + b * x + c * y for x, y in case.held.corners)
    most = case.held.q_max_psf
    return round_step(max((most - least) / LINES, most / 40))


def round_step(least: float) -> float:
    """The next of 1, 2, 2.5, 5, 10 ... at or above it."""
    tens: float = 10 ** math.floor(math.log10(least)) if least > 0 else 1.0
    return next(n * tens for n in (1.0, 2.0, 2.5, 5.0, 10.0) if n * tens >= least * (1 - 1e-9))


def _corners(d: Drawing, at: _Placed, case: BearingCase, off_px: float) -> None:
    """What presses at each corner of a square, and where it presses hardest on any other pad."""
    assert case.held is not None
    facts, (a, b, c) = at.facts, case.held.plane
    if facts.outline == "rectangle":
        places = [(0.0, 0.0), (facts.side_ft, 0.0), (facts.side_ft, facts.across_ft), (0.0, facts.across_ft)]
    else:
        places = [hardest_pressed(case, facts)]
    for x, y in places:
        psf = max(0.0, a + b * (x - facts.side_ft / 2) + c * (y - facts.across_ft / 2))
        right, upper = x > facts.side_ft / 2, y > facts.across_ft / 2
        px, py = at.px((x, y))
        d.circle((px, py), radius_px=2.5, fill="ink", layer="corner")
        hardest = psf > 0.999 * case.held.q_max_psf
        off = off_px if hardest else 6.0
        place = px + (off if right else -off), py + (6 if upper else -8 - off)
        words = f"{psf:,.0f} psf" if psf >= 0.5 else "0 psf"
        d.text(place, words, NOTE, "start" if right else "end", bold=hardest, layer="corner")


def _lifting(d: Drawing, at: _Placed, facts: FoundationFacts) -> None:
    """The line where the pad begins to lift with the least dead load, dashed."""
    held = facts.lifting.held if facts.lifting else None
    line = zero_line(held.plane, held.corners, facts) if held else None
    if line:
        d.line(at.px(line[0]), at.px(line[1]), "medium", "limit", layer="contact")


def _windward(at: _Placed, wind_from: str) -> Pair:
    east, north = leeward(wind_from)
    facts = at.facts
    middle = at.px((facts.side_ft / 2, facts.across_ft / 2))
    reach = SMALL_PX / 2 / max(abs(east), abs(north)) + 11
    return middle[0] - east * reach, middle[1] - north * reach


def _wind(d: Drawing, middle: Pair, wind_from: str, long_px: float) -> None:
    """An arrow that flies with the wind."""
    east, north = leeward(wind_from)
    half = long_px / 2

    def arrow(frame: Frame) -> list[Shape]:
        tail = frame.px((middle[0] - east * half, middle[1] - north * half))
        tip = frame.px((middle[0] + east * half, middle[1] + north * half))
        way = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
        return [Stroke((tail, tip), Pen("medium")), arrowhead(tip, way, min(9.0, long_px / 2))]

    d.add("wind", arrow)


def _said(facts: FoundationFacts, case: BearingCase) -> list[str]:
    limit = "" if facts.allowable_psf is None else f" of {readable(facts.allowable_psf)} psf"
    pressed = f"{readable(case.pressure_psf)}{limit or ' psf'}" if case.held else OVERTURNS
    lines = [f"Wind from {from_the(case.wind_from)}: {pressed}, {case.combination}"]
    if case.held is not None:
        lines.append(f"{_share(case).capitalize()} under it; lines of equal pressure, psf")
    if facts.lifting is not None:
        least = _share(facts.lifting) if facts.lifting.held else OVERTURNS
        dashed = "; dashed: lifts beyond" if facts.lifting.held and facts.lifting.fraction < 1 else ""
        lines.append(f"{facts.lifting.combination}: {least}{dashed}")
    return lines


def _share(case: BearingCase) -> str:
    """Never all of it by rounding alone."""
    whole = case.fraction > 1 - 1e-9
    return "all of the pad bears" if whole else f"{min(99.0, 100 * case.fraction):.0f} % of the pad bears"


def _short(wind: WindBearing) -> str:
    case = wind.hardest
    return f"{case.pressed}, {_least(wind)}"


def _least(wind: WindBearing) -> str:
    if wind.least.held is None:
        return OVERTURNS
    return f"{min(99.0, 100 * wind.least.fraction) if wind.least.fraction < 1 - 1e-9 else 100:.0f} % bears"


def _cell(wind: WindBearing, allowable: float | None) -> list[str]:
    case = wind.hardest
    if case.held is None:
        return ["overturns"]
    over = ", over" if allowable is not None and case.pressure_psf > allowable * (1 + 1e-9) else " psf"
    least = _least(wind) if wind.least.held else "overturns"
    return [f"{readable(round(case.pressure_psf))}{over}", least]


def _told(facts: FoundationFacts, case: BearingCase) -> str:
    return f"{'. '.join(_said(facts, case))}."
