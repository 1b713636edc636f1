"""A chart whose scales matplotlib draws and whose figures are drawn over them, in px, by our own pens.

    plot = Plot(Axes(wide=560, high=230, x_to=90, y_to=40_000, x_words="radius, ft", y_words="lb"))
    plot.line([(20, 38_400), (25, 30_100)], Pen("heavy"))
    plot.words((25, 30_100), "95 ft")              # the first of its places where it stands on nothing
    plot.key(Pen("heavy"), "125 ft boom, as the chart is read")
    svg = plot.svg("Load chart", "Gross 8,700 lb of 13,900 lb")

A redraw for another figure draws the scales anew only where their ends are others.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from xml.etree import ElementTree

from .furniture import crayon_loop
from .letters import NOTE, ROUTED, text_width, wrapped
from .shapes import Lettering, Pair, Pen, Round, Shape, Stroke
from .svg import svg_document

WIDE, PHONE = 660.0, 358.0  # px of a whole chart: beside the notes, on a phone
LEAD = 17.0
ROUND = (1, 2, 5, 10)  # a tick stands at these, times a power of ten
_SPACE = re.compile(r"(?<=>)\s+(?=<)| transform=\"rotate\(-0[^\"]*\"")


ENDS = (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.4, 8.0, 10.0)


def scale_end(least: float) -> float:
    """Where a scale that must reach so far may end: it stays there for most figures that are changed."""
    if least <= 0:
        return 1.0
    tens: float = 10 ** math.floor(math.log10(least))
    return next(tens * end for end in ENDS if tens * end >= least * (1 - 1e-9))


@dataclass(frozen=True, kw_only=True)
class Axes:
    """The field, ``wide`` and ``high`` px, and what its edges stand for."""

    wide: float
    high: float
    x_to: float
    y_to: float
    x_from: float = 0.0
    y_from: float = 0.0
    x_words: str = ""
    y_words: str = ""
    left: float = 52.0
    top: float = 24.0
    right: float = 14.0
    # places along x with their names, where these are no numbers
    ticks: tuple[tuple[float, str], ...] = ()

    @classmethod
    def of(cls, whole_px: float, high: float, **how: float | str | tuple[tuple[float, str], ...]) -> Axes:
        """As wide as stands on a sheet of ``whole_px``."""
        made = cls(wide=1.0, high=high, **how)  # type: ignore[arg-type]  # each by its name
        return cls(wide=whole_px - made.left - made.right, high=high, **how)  # type: ignore[arg-type]  # as above

    def x(self, value: float) -> float:
        return self.left + self.wide * (value - self.x_from) / (self.x_to - self.x_from)

    def y(self, value: float) -> float:
        return self.top + self.high * (1 - (value - self.y_from) / (self.y_to - self.y_from))


class Plot:
    """Collects what is drawn, in the figures of its axes."""

    def __init__(self, axes: Axes) -> None:
        self.axes = axes
        self._shapes: list[tuple[str, Shape]] = []
        self._taken: list[tuple[float, float, float, float]] = []
        self._keys: list[tuple[Pen | None, str, str]] = []

    def px(self, at: Pair) -> Pair:
        return self.axes.x(at[0]), self.axes.y(at[1])

    def add(self, layer: str, *shapes: Shape) -> None:
        """Shapes in px."""
        self._shapes += [(layer, shape) for shape in shapes]

    def line(self, points: Iterable[Pair], pen: Pen, layer: str = "curve") -> None:
        self.add(layer, Stroke(tuple(map(self.px, points)), pen))

    def field(self, corners: Iterable[Pair], pen: Pen, layer: str = "band") -> None:
        self.add(layer, Stroke(tuple(map(self.px, corners)), pen, closed=True))

    def dot(self, at: Pair, radius_px: float, layer: str, *, hollow: bool = False) -> None:
        pen = Pen("medium", fill="blank") if hollow else Pen("", fill="ink")
        self.add(layer, Round(self.px(at), radius_px, pen))

    def ring(self, at: Pair, wide_px: float = 40.0, high_px: float = 40.0) -> None:
        """Crayon round what fails."""
        self.add("ring", *crayon_loop(self.px(at), wide_px, high_px))

    def words(
        self,
        at: Pair,
        text: str,
        *,
        off_px: float = 9.0,
        bold: bool = False,
        places: str = "right up-right down-right left up-left down-left up down",
        size: float = NOTE,
    ) -> None:
        """Beside a place, at the first of ``places`` that is free and on the sheet; else left out.

        "up-right+14" is 14 px higher than up and right.
        """
        x, y = self.px(at)
        wide = text_width(text, size)
        for said in places.split():
            place, _, more = said.partition("+")
            left = x + off_px if "right" in place else x - off_px - wide if "left" in place else x - wide / 2
            foot = y + 4.0 + (-off_px - 3 if "up" in place else off_px + 4 if "down" in place else 0.0)
            foot -= float(more or 0)
            if self._is_free(left, foot, wide, size):
                self.put((left, foot), text, bold=bold, size=size)
                return

    def put(
        self, at_px: Pair, text: str, *, anchor: str = "start", bold: bool = False, size: float = NOTE
    ) -> None:
        """Words at a place in px, whatever stands there; the ground under them is cleared."""
        wide = text_width(text, size)
        left = at_px[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        self._taken.append((left, at_px[1] - size, left + wide, at_px[1] + 3))
        self.add("words", Lettering(at_px, text, size, anchor, bold=bold, blank=True))

    def _is_free(self, left: float, foot: float, wide: float, size: float) -> bool:
        a = self.axes
        if left < a.left + 2 or left + wide > a.left + a.wide + a.right:
            return False
        if foot - size < a.top - 6 or foot + 4 > a.top + a.high:
            return False
        return not any(
            left < r + 4 and left + wide > l - 4 and foot - size < b + 1 and foot + 3 > t - 1
            for l, t, r, b in self._taken  # noqa: E741
        )

    def take(self, box_px: tuple[float, float, float, float]) -> None:
        """Nothing is written here: left, top, right, bottom."""
        self._taken.append(box_px)

    def key(self, pen: Pen | None, words: str, mark: str = "") -> None:
        """A line under the chart that says what this pen draws, or this mark.

        A mark is "dot", "hollow" or "row", a dot in a circle.
        """
        self._keys.append((pen, words, mark))

    def svg(self, title: str, description: str = "", *, for_print: bool = False, keys_px: float = 0.0) -> str:
        """``keys_px``: the lines stand in a column of this width beside the chart, not under it."""
        a = self.axes
        edge, below = a.left + a.wide + a.right, a.top + a.high + (40 if a.x_words else 22)
        if keys_px:
            keys, foot = _keyed(self._keys, edge, a.top - LEAD, keys_px)
        else:
            keys, foot = _keyed(self._keys, 0.0, below, edge)
        ends = [
            Lettering((a.left - 4, a.top - 10), a.y_words, NOTE, "start", family=ROUTED),
            Lettering((a.left + a.wide, a.top + a.high + 33), a.x_words, NOTE, "end", family=ROUTED),
        ]
        return svg_document(
            [*self._shapes, *(("words", end) for end in ends if end.text), *(("key", key) for key in keys)],
            title=title,
            description=description,
            box=(0, 0, edge + keys_px, max(foot, below)),
            for_print=for_print,
            under=scales(a),
        )


def _keyed(
    keys: Sequence[tuple[Pen | None, str, str]], left: float, top: float, wide: float
) -> tuple[list[Shape], float]:
    """The lines from ``top`` down, and where they end."""
    shapes: list[Shape] = []
    y = top
    for pen, words, mark in keys:
        y += LEAD
        if pen is not None:
            shapes.append(Stroke(((left + 6, y - 4), (left + 32, y - 4)), pen))
        if mark:
            shapes += _marked(mark, (left + 19, y - 4))
        for row, line in enumerate(wrapped(words, wide - 44, NOTE)):
            y += LEAD - 2 if row else 0.0
            shapes.append(Lettering((left + 40, y), line, NOTE))
    return shapes, y + 8


def _marked(mark: str, at: Pair) -> list[Shape]:
    if mark == "dot":
        return [Round(at, 4.5, Pen("", fill="ink"))]
    if mark == "hollow":
        return [Round(at, 3.0, Pen("medium", fill="blank"))]
    return [Round(at, 5.0, Pen("medium")), Round(at, 1.7, Pen("", fill="ink"))]


@lru_cache(maxsize=128)
def scales(axes: Axes) -> str:
    """The two scales with their ticks and figures, as a group of SVG."""
    from matplotlib.ticker import MaxNLocator, StrMethodFormatter

    from .charts import bare, chart_svg

    wide, high = axes.left + axes.wide + axes.right, axes.top + axes.high + 30
    figure, field = bare(wide / 96, high / 96)
    field.set_position(
        [axes.left / wide, 30 / high, axes.wide / wide, axes.high / high],
    )
    field.set_xlim(axes.x_from, axes.x_to)
    field.set_ylim(axes.y_from, axes.y_to)
    if axes.ticks:
        field.set_xticks([place for place, _ in axes.ticks], [name for _, name in axes.ticks])
    else:
        field.xaxis.set_major_locator(MaxNLocator(max(2, int(axes.wide // 44)), steps=ROUND))
        field.xaxis.set_major_formatter(StrMethodFormatter("{x:,.6g}"))
    field.yaxis.set_major_locator(MaxNLocator(max(2, int(axes.high // 32)), steps=ROUND))
    field.yaxis.set_major_formatter(StrMethodFormatter("{x:,.6g}"))
    drawn = ElementTree.fromstring(_SPACE.sub("", chart_svg(figure, f"scales {axes}")))
    inside = "".join(
        ElementTree.tostring(child, encoding="unicode")
        for child in drawn
        if child.tag.split("}")[-1] != "title"
    )
    return f'<g class="layer-scale" transform="scale({96 / 72:.6g})">{inside}</g>'
