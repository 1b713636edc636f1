"""Symbols of the one-line, each on an upright axis through its own origin, in px, y up.

Drawn as one-line diagrams are in American practice (the shapes of IEEE 315, withdrawn but in use);
the word stands beside every one. ``half`` is how far the symbol reaches along the axis from its
middle: the conductor is drawn up to there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from installs.drafting import Drawing
from installs.drafting.letters import NOTE


@dataclass(frozen=True)
class Symbol:
    """``letters`` stand in the middle, upright however the symbol is turned."""

    half: float
    draw: Callable[[Drawing, int], None]  # (block, conductors)
    letters: str = ""


def _round(radius: float) -> Callable[[Drawing, int], None]:
    def draw(d: Drawing, wires: int) -> None:
        d.circle((0, 0), radius)

    return draw


def _box(width: float, height: float) -> Callable[[Drawing, int], None]:
    def draw(d: Drawing, wires: int) -> None:
        d.rectangle(-width / 2, -height / 2, width, height)

    return draw


def _contacts(d: Drawing, middle: float = 0.0) -> None:
    d.circle((0, middle + 14), 3).circle((0, middle - 14), 3)


def _switch(d: Drawing, wires: int) -> None:
    _contacts(d)
    d.line((1, -11.5), (15, 9), weight="bar")


def _fused_switch(d: Drawing, wires: int) -> None:
    _contacts(d, 16)
    d.line((1, 4.5), (15, 25), weight="bar")
    d.line((0, -1), (0, -33)).rectangle(-5, -29, 10, 24)


def _breaker(d: Drawing, wires: int) -> None:
    _contacts(d)
    d.arc((-3, 0), 17, -58, 58, weight="bar")


def _transformer(d: Drawing, wires: int) -> None:
    d.circle((0, 9), 15).circle((0, -9), 15)


def _ticks(d: Drawing, wires: int) -> None:
    """A conductor with one cross-tick for each wire of a set."""
    for i in range(wires):
        middle = (i - (wires - 1) / 2) * 6
        d.line((-7, middle - 4), (7, middle + 4), weight="hatch")


def _node(d: Drawing) -> None:
    d.circle((0, 0), 3, fill="ink")


def _ground_bars(d: Drawing, x: float, top: float) -> None:
    for step, half in enumerate((10, 6, 2.5)):
        d.line((x - half, top - 5 * step), (x + half, top - 5 * step), weight="bar")


def _ground(d: Drawing, wires: int) -> None:
    """Dashed: it goes to the neutral and the enclosure, not to the lines."""
    d.polyline([(0, 0), (-34, 0), (-34, -10)], dash="tentative")
    _ground_bars(d, -34, -10)


def _surge(d: Drawing, wires: int) -> None:
    """Arrester: the line's arrow against the ground's plate, a gap between."""
    _node(d)
    d.polyline([(0, 0), (-34, 0), (-34, -5)])
    d.polygon([(-34, -12), (-39, -4), (-29, -4)], weight="", fill="ink")
    d.line((-41, -15), (-27, -15), weight="bar").line((-34, -15), (-34, -21))
    _ground_bars(d, -34, -21)


def _brake(d: Drawing, wires: int) -> None:
    """A switch beside the line that joins its conductors."""
    _node(d)
    d.line((0, 0), (-11, 0)).circle((-14, 0), 3).circle((-36, 0), 3)
    d.line((-34, 2), (-14, 13), weight="bar")
    d.line((-39, 0), (-48, 0)).line((-48, -10), (-48, 10), weight="heavy")


def _bus(d: Drawing, wires: int) -> None:
    d.line((-48, 0), (48, 0), weight="over")
    d.line((-34, 0), (-34, -18)).polygon([(-34, -24), (-38, -15), (-30, -15)], weight="", fill="ink")
    d.text((-40, -22), "loads", size=NOTE, anchor="end")


def _bar(d: Drawing, wires: int) -> None:
    d.line((-20, 0), (20, 0), weight="over")


def _tap(d: Drawing, wires: int) -> None:
    _node(d)
    d.line((0, 0), (-28, 0)).rectangle(-62, -11, 34, 22)
    d.text((-45, -4), "panel", size=NOTE, anchor="middle")


def _utility(d: Drawing, wires: int) -> None:
    """An arrow along the way the drawing runs: up in its own block."""
    d.polygon([(0, 12), (-6, -8), (6, -8)], weight="", fill="ink")


SYMBOLS: dict[str, Symbol] = {
    "generator": Symbol(20, _round(20), "G"),
    "box": Symbol(17, _box(104, 34)),
    "box across": Symbol(44, _box(38, 88)),  # for the small one-line, whose axis lies flat
    "switch": Symbol(17, _switch),
    "fused switch": Symbol(33, _fused_switch),
    "breaker": Symbol(17, _breaker),
    "meter": Symbol(17, _round(17), "M"),
    "transformer": Symbol(24, _transformer),
    "run": Symbol(0, _ticks),
    "ground": Symbol(0, _ground),
    "surge": Symbol(0, _surge),
    "brake": Symbol(0, _brake),
    "bus": Symbol(0, _bus),
    "bus across": Symbol(0, _bar),
    "tap": Symbol(0, _tap),
    "tap across": Symbol(0, lambda d, wires: _node(d)),
    "utility": Symbol(8, _utility),
}


def block(symbol: str, wires: int = 0) -> Drawing:
    d = Drawing(symbol, px_per_ft=1)
    SYMBOLS[symbol].draw(d, wires)
    return d
