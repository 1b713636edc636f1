"""What finally stands on the paper: shapes in px (96 an inch), y down, ready for SVG or DXF."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import KW_ONLY, dataclass

from .letters import OVERPASS, TEXT, text_width

Pair = tuple[float, float]

THIN, HATCH, MEDIUM, BAR, HEAVY, OVER_LIMIT = 0.5, 0.8, 1.0, 1.5, 2.0, 3.0
WEIGHTS = {
    "thin": THIN,
    "hatch": HATCH,
    "medium": MEDIUM,
    "bar": BAR,
    "heavy": HEAVY,
    "over": OVER_LIMIT,
}
DASHES = {
    "": "",
    "limit": "10 4",
    "property": "14 3 3 3",
    "axis": "14 3 3 3",
    "tentative": "5 3",
    "hidden": "5 3",
    "waiting": "1 3",
}
INKS = ("ink", "pencil", "crayon")
FILLS = ("", "ink", "blank", "fold", "crayon")


@dataclass(frozen=True)
class Pen:
    """How a line is drawn. ``weight`` and ``dash`` are names from WEIGHTS and DASHES."""

    weight: str = "medium"
    dash: str = ""
    ink: str = "ink"
    fill: str = ""

    def __post_init__(self) -> None:
        if (
            self.weight not in (*WEIGHTS, "")
            or self.dash not in DASHES
            or self.ink not in INKS
            or self.fill not in FILLS
        ):
            raise ValueError(f"no such pen: {self}")


@dataclass(frozen=True)
class Stroke:
    """A run of straight lines; closed makes it an outline that may be filled."""

    points: tuple[Pair, ...]
    pen: Pen = Pen()
    closed: bool = False


@dataclass(frozen=True)
class Round:
    """A circle, or an arc from ``start`` to ``end`` degrees, counter-clockwise from east as seen on paper."""

    center: Pair
    radius: float
    pen: Pen = Pen()
    _: KW_ONLY
    start: float = 0.0
    end: float = 360.0

    @property
    def whole(self) -> bool:
        return self.end - self.start >= 360

    def at(self, degrees: float) -> Pair:
        turn = math.radians(degrees)
        return self.center[0] + self.radius * math.cos(turn), self.center[1] - self.radius * math.sin(turn)


@dataclass(frozen=True)
class Dots:
    """Many small dots of one size: concrete."""

    points: tuple[Pair, ...]
    radius: float = 0.55


@dataclass(frozen=True)
class Segments:
    """Many separate straight strokes of one weight: hatches."""

    pieces: tuple[tuple[Pair, Pair], ...]
    pen: Pen = Pen("hatch")


@dataclass(frozen=True)
class Lettering:
    """One line of text, its foot at ``at`` by its anchor, turned ``turn`` degrees counter-clockwise."""

    at: Pair
    text: str
    size: float = TEXT
    anchor: str = "start"
    turn: float = 0.0
    family: str = OVERPASS
    bold: bool = False
    ink: str = "ink"
    blank: bool = False

    def box(self, margin: float = 3.0) -> tuple[Pair, ...]:
        """The four corners the text covers."""
        width = text_width(self.text, self.size, self.family)
        left = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        corners = [
            (left - margin, self.size * 0.27),
            (left + width + margin, self.size * 0.27),
            (left + width + margin, -self.size * 0.88),
            (left - margin, -self.size * 0.88),
        ]
        turn = math.radians(self.turn)
        cos, sin = math.cos(turn), math.sin(turn)
        return tuple((self.at[0] + x * cos + y * sin, self.at[1] - x * sin + y * cos) for x, y in corners)


Shape = Stroke | Round | Dots | Segments | Lettering


def outline_points(shape: Shape) -> Iterable[Pair]:
    """Points whose box holds the shape."""
    if isinstance(shape, Stroke | Dots):
        return shape.points
    if isinstance(shape, Segments):
        return [point for piece in shape.pieces for point in piece]
    if isinstance(shape, Lettering):
        return shape.box()
    if shape.whole:
        (x, y), r = shape.center, shape.radius
        return [(x - r, y - r), (x + r, y + r)]
    quarters = [q for q in range(-720, 1081, 90) if shape.start <= q <= shape.end]
    return [shape.at(q) for q in (shape.start, shape.end, *quarters)]


def bounds(shapes: Iterable[Shape]) -> tuple[float, float, float, float]:
    """left, top, right, bottom in px. ValueError when a coordinate is not finite or nothing is drawn."""
    points = [point for shape in shapes for point in outline_points(shape)]
    if not points:
        raise ValueError("nothing is drawn")
    if not all(math.isfinite(value) for point in points for value in point):
        raise ValueError("a coordinate is not a finite number")
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
