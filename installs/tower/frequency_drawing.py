"""Frequency over rotor speed: the tower's first as a level line, what the rotor excites as rays (1P, BP).

Where a ray meets the level, at 60 f / k rpm, it strikes the tower in its own time. A ray is heavy over the
speeds at which the rotor keeps turning.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from installs.drafting.plot import PHONE, WIDE, Axes, Plot, scale_end
from installs.drafting.shapes import Pair, Pen, Segments
from installs.tower.facts import FrequencyFacts, Head, TowerFacts
from installs.tower.review import rotor_of
from sitecalc.checks import Check, Verdict, readable
from sitecalc.tower.figures import TowerFigures
from sitecalc.tower.resonance import Band, Rotor, against, kept_turning

THIN, LEVEL, MARGIN = Pen("thin"), Pen("heavy"), Pen("medium", "limit")
KEPT, PASSING = Pen("over"), Pen("medium", "tentative")
HIGH, LOW = 270.0, 250.0
HATCH_PX = 6.0


def frequency_svg(
    facts: TowerFacts,
    figures: TowerFigures,
    checks: Iterable[Check] = (),
    *,
    wide_px: float = WIDE,
    high_px: float = HIGH,
    for_print: bool = False,
) -> str:
    """The chart; what fails of ``checks`` is ringed. ValueError without a frequency."""
    found, head = facts.frequency, facts.head
    if found is None or head is None:
        raise ValueError("there is no frequency to draw")
    rotor = rotor_of(figures, head)
    plot = Plot(_axes(found, head, rotor, wide_px, high_px))
    kept = kept_turning(rotor) or []
    _speeds(plot, rotor)
    _level(plot, found, rotor)
    for band in found.bands:
        _ray(plot, band.per_turn, head, kept)
    _crossings(plot, found)
    _rings(plot, found, kept, {c.key for c in checks if c.verdict == Verdict.FAILS})
    _name_level(plot, found)
    _keys(plot, found, head, rotor)
    said = "; ".join(band.sentence.rstrip(".") for band in found.bands)
    title = f"Tower {found.first_hz:.3g} Hz against rotor speed"
    return plot.svg(title, f"{_met(found)} {said}.", for_print=for_print)


def both_svgs(facts: TowerFacts, figures: TowerFigures, checks: Iterable[Check]) -> dict[str, str]:
    """For a page: beside its notes, and on a phone."""
    failing = [*checks]
    return {
        "frequency": frequency_svg(facts, figures, failing),
        "frequency_narrow": frequency_svg(facts, figures, failing, wide_px=PHONE, high_px=LOW),
    }


def _axes(found: FrequencyFacts, head: Head, rotor: Rotor, wide_px: float, high_px: float) -> Axes:
    """Past the fastest speed, and past the tower; a ray that climbs on leaves the sheet."""
    speeds = [head.overspeed_rpm, head.speed_high_rpm, rotor.skipped_high_rpm]
    fastest = max((s for s in speeds if s is not None), default=0.0)
    x_to = 1.06 * (fastest or max(band.high_rpm for band in found.bands) or 10.0)
    tower = max(found.first_hz * (1 + rotor.margin), *(v.hz for v in found.variants), 0.1)
    return Axes.of(
        wide_px, high_px, left=40.0, right=26.0, x_to=x_to,
        y_to=scale_end(max(1.35 * tower, 1.1 * x_to / 60)),
        x_words="rotor speed, rpm", y_words="Hz",
    )  # fmt: skip


def _speeds(plot: Plot, rotor: Rotor) -> None:
    """Edges of the range of operation, and the window that the controller skips, hatched."""
    for rpm in (rotor.speed_low_rpm, rotor.speed_high_rpm):
        if rpm is not None:
            plot.line([(rpm, 0), (rpm, plot.axes.y_to)], THIN, "under")
    if rotor.skipped_low_rpm is None or rotor.skipped_high_rpm is None:
        return
    low, high = rotor.skipped_low_rpm, rotor.skipped_high_rpm
    plot.field(_corners(low, high, 0, plot.axes.y_to), Pen("", fill="fold"), "skipped")
    plot.add("under", Segments(tuple(_hatch(plot, low, high)), THIN))
    for rpm in (low, high):
        plot.line([(rpm, 0), (rpm, plot.axes.y_to)], THIN, "under")


def _corners(left: float, right: float, low: float, high: float) -> tuple[Pair, ...]:
    return (left, low), (right, low), (right, high), (left, high)


def _hatch(plot: Plot, low_rpm: float, high_rpm: float) -> Iterable[tuple[Pair, Pair]]:
    """Strokes at 45 degrees between two uprights."""
    left, top = plot.px((low_rpm, plot.axes.y_to))
    right, foot = plot.px((high_rpm, 0))
    wide = right - left
    for n in range(math.ceil((foot - top + wide) / HATCH_PX)):
        start = foot + wide - n * HATCH_PX  # where the stroke meets the right upright
        a, b = max(0.0, start - foot), min(wide, start - top)
        if a < b:
            yield (right - a, start - a), (right - b, start - b)


def _level(plot: Plot, found: FrequencyFacts, rotor: Rotor) -> None:
    """The tower, toned over what its variants come to, with the margin dashed on both sides."""
    far, every = plot.axes.x_to, [found.first_hz, *(v.hz for v in found.variants)]
    plot.field(_corners(0, far, min(every), max(every)), Pen("", fill="fold"), "variants")
    for hz in (min(every), max(every)):
        plot.line([(0, hz), (far, hz)], THIN, "under")
    for share in (-1, 1):
        hz = found.first_hz * (1 + share * rotor.margin)
        plot.line([(0, hz), (far, hz)], MARGIN, "margin")
    plot.line([(0, found.first_hz), (far, found.first_hz)], LEVEL, "tower")


def _ray(plot: Plot, per_turn: int, head: Head, kept: list[tuple[float, float]]) -> None:
    """Thin to the edge of the sheet, dashed as far as the rotor is run, heavy where it keeps turning."""
    end = min(plot.axes.x_to, 60 * plot.axes.y_to / per_turn)

    def stretch(low: float, high: float) -> list[Pair]:
        return [(rpm, per_turn * rpm / 60) for rpm in (min(low, end), min(high, end))]

    run = head.overspeed_rpm or head.speed_high_rpm or 0.0
    plot.line(stretch(0, run), PASSING, f"ray {per_turn}P")
    plot.line(stretch(run, end), THIN, f"ray {per_turn}P")
    for low, high in kept:
        if low < end:
            plot.line(stretch(low, high), KEPT, f"kept {per_turn}P")
    x, y = plot.px((end, per_turn * end / 60))
    over = end < plot.axes.x_to
    plot.put((x, y - 5) if over else (x + 3, y + 4), f"{per_turn}P", anchor="middle" if over else "start")


def _crossings(plot: Plot, found: FrequencyFacts) -> None:
    """Each with its speed, let down to the scale."""
    shown = [band for band in found.bands if 0 < band.meets_rpm <= plot.axes.x_to]
    for band in shown:
        plot.line([(band.meets_rpm, found.first_hz), (band.meets_rpm, 0)], Pen("thin", "hidden"), "under")
    for band in shown:
        plot.dot((band.meets_rpm, found.first_hz), 4.0, "crossing", hollow=True)
        words = f"{band.per_turn}P {band.meets_rpm:.3g} rpm"
        plot.words((band.meets_rpm, 0), words, bold=True, off_px=5, places="up-right up-left up-right+16")


def _rings(plot: Plot, found: FrequencyFacts, kept: list[tuple[float, float]], failing: set[str]) -> None:
    """Where a speed of operation comes nearest to the tower."""
    for band in found.bands:
        if against(band.per_turn).key in failing and kept:
            rpm = min(
                (min(max(band.meets_rpm, low), high) for low, high in kept),
                key=lambda n: abs(n - band.meets_rpm),
            )
            hz = band.per_turn * rpm / 60
            if hz <= plot.axes.y_to:
                plot.ring((rpm, hz), 36, 36)


def _name_level(plot: Plot, found: FrequencyFacts) -> None:
    plot.words((0, found.first_hz), f"tower {found.first_hz:.3g} Hz", places="up-right down-right", off_px=6)


def _keys(plot: Plot, found: FrequencyFacts, head: Head, rotor: Rotor) -> None:
    half = ", foundation half and twice as stiff" if len(found.variants) > 2 else ""
    plot.key(LEVEL, f"Tower {found.first_hz:.3g} Hz; toned: head 10 % lighter and heavier{half}.")
    plot.key(
        MARGIN, f"{readable(100 * rotor.margin)} % kept on both sides: no speed of operation between these."
    )
    low, high, over = head.speed_low_rpm, head.speed_high_rpm, head.overspeed_rpm
    if low is None or high is None:
        plot.key(None, "Speeds of operation not given.")
    else:
        skipped = ""
        if rotor.skipped_low_rpm is not None and rotor.skipped_high_rpm is not None:
            window = f"{rotor.skipped_low_rpm:g} to {rotor.skipped_high_rpm:g} rpm"
            skipped = f"; hatched: {window}, which the controller skips"
        plot.key(KEPT, f"Speeds of operation, {low:g} to {high:g} rpm{skipped}.")
        on = f", and on to the overspeed shutdown at {over:g} rpm" if over is not None and over > high else ""
        plot.key(PASSING, f"Run-up{on}: passed through, not kept.")
    plot.key(None, _met(found), "hollow")


def _met(found: FrequencyFacts) -> str:
    return f"{'; '.join(_meets(band) for band in found.bands)}."


def _meets(band: Band) -> str:
    return f"{band.per_turn}P meets the tower at {band.meets_rpm:.3g} rpm"
