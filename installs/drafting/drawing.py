"""The drawing: primitives in feet with y up, on named layers, to one scale."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Self

from . import dimensions, furniture, hatches
from .frame import PX_PER_INCH, Frame, Point
from .letters import OVERPASS, ROUTED, TEXT
from .shapes import Lettering, Pen, Round, Shape, Stroke, bounds
from .svg import svg_document

Made = Callable[[Frame], Iterable[Shape]]


class Drawing:
    """Collects primitives; nothing is worked out before it is rendered, so one drawing serves every scale.

    ``px_per_ft`` is the scale on screen and on paper alike (96 px are an inch): 32 means 1 in = 3 ft.
    Coordinates are ``(x_ft, y_ft)``, or ``(x_ft, y_ft, right_px, up_px)`` where a note stands a fixed way off
    on the paper. ValueError for coordinates that are not finite, when the drawing is rendered.
    A drawing without scale (a one-line) uses ``px_per_ft=1`` and takes feet as px.
    """

    def __init__(self, title: str, px_per_ft: float = 32.0, description: str = "") -> None:
        if not (math.isfinite(px_per_ft) and px_per_ft > 0):
            raise ValueError("the scale must be a positive number of px a foot")
        self.title, self.px_per_ft, self.description = title, px_per_ft, description
        self._items: list[tuple[str, Made]] = []

    @property
    def feet_per_inch(self) -> float:
        return PX_PER_INCH / self.px_per_ft

    # --- lines -----------------------------------------------------------------------------------

    def line(
        self,
        a: Point,
        b: Point,
        weight: str = "medium",
        dash: str = "",
        layer: str = "object",
        ink: str = "ink",
    ) -> Self:
        return self.polyline([a, b], weight, dash, layer, ink)

    def polyline(
        self,
        points: Sequence[Point],
        weight: str = "medium",
        dash: str = "",
        layer: str = "object",
        ink: str = "ink",
    ) -> Self:
        pen, places = Pen(weight, dash, ink), tuple(points)
        return self.add(layer, lambda frame: [Stroke(tuple(map(frame.px, places)), pen)])

    def polygon(
        self,
        points: Sequence[Point],
        weight: str = "medium",
        dash: str = "",
        layer: str = "object",
        ink: str = "ink",
        fill: str = "",
    ) -> Self:
        """A closed outline; ``fill`` is "", "ink", "blank", "fold"; ``weight`` "" draws no outline."""
        pen, places = Pen(weight, dash, ink, fill), tuple(points)
        return self.add(layer, lambda frame: [Stroke(tuple(map(frame.px, places)), pen, closed=True)])

    def rectangle(self, x: float, y: float, width: float, height: float, **how: str) -> Self:
        """Lower left corner, width and height in feet."""
        return self.polygon([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], **how)

    def circle(
        self,
        center: Point,
        radius_ft: float = 0.0,
        radius_px: float = 0.0,
        weight: str = "medium",
        dash: str = "",
        layer: str = "object",
        ink: str = "ink",
        fill: str = "",
    ) -> Self:
        pen = Pen(weight, dash, ink, fill)
        return self.add(
            layer, lambda frame: [Round(frame.px(center), frame.length(radius_ft) + radius_px, pen)]
        )

    def arc(
        self,
        center: Point,
        radius_ft: float,
        start: float,
        end: float,
        weight: str = "medium",
        dash: str = "",
        layer: str = "object",
    ) -> Self:
        """Counter-clockwise from ``start`` to ``end`` degrees, east is 0."""
        pen, sweep = Pen(weight, dash), (end - start) % 360 or 360

        def made(frame: Frame) -> list[Shape]:
            first = frame.direction(end if frame.mirrored else start)
            return [Round(frame.px(center), frame.length(radius_ft), pen, start=first, end=first + sweep)]

        return self.add(layer, made)

    def text(
        self,
        at: Point,
        text: str,
        size: float = TEXT,
        anchor: str = "start",
        turn: float = 0.0,
        bold: bool = False,
        routed: bool = False,
        blank: bool = False,
        layer: str = "text",
        ink: str = "ink",
    ) -> Self:
        """Lines (split at newlines) from ``at`` downward, ``size`` in px.

        ``routed`` is the lettering of titles and names; ``blank`` clears the ground under the text.
        """
        family = ROUTED if routed else OVERPASS

        def made(frame: Frame) -> list[Shape]:
            x, y = frame.px(at)
            lead, tilt = size * 1.28, math.radians(turn)
            return [
                Lettering(
                    (x + i * lead * math.sin(tilt), y + i * lead * math.cos(tilt)),
                    part,
                    size,
                    anchor,
                    turn,
                    family,
                    bold,
                    ink,
                    blank,
                )
                for i, part in enumerate(text.split("\n"))
            ]

        return self.add(layer, made)

    # --- what a drafter adds ----------------------------------------------------------------------

    def dimension(
        self,
        a: Point,
        b: Point,
        off_px: float = 28.0,
        along: str = "aligned",
        text: str | None = None,
        size: float = TEXT,
        share: float = 0.5,
    ) -> Self:
        """Distance from a to b: "horizontal", "vertical" or "aligned".

        ``off_px`` is where the dimension line stands: px above (horizontal), to the right (vertical), to
        the left of the way from a to b (aligned); negative for the other side. Without ``text`` it says
        the distance; ``share`` of the way along the line.
        """
        return self.add(
            "dimension", lambda frame: dimensions.dimension(frame, a, b, off_px, along, text, size, share)
        )

    def leader(
        self, tip: Point, note_at: Point, note: str = "", size: float = TEXT, dot: bool = False
    ) -> Self:
        """A thin line from a note to what it means, ending in an arrowhead or a dot."""
        return self.add("note", lambda frame: dimensions.leader(frame, tip, note_at, note, size, dot))

    def balloon(self, at: Point, number: object, tip: Point | None = None, radius_px: float = 10.0) -> Self:
        """A numbered circle, with a leader to ``tip``."""
        return self.add("balloon", lambda frame: dimensions.balloon(frame, at, str(number), tip, radius_px))

    def hatch(
        self,
        kind: str,
        region: Sequence[Point],
        holes: Sequence[Sequence[Point]] = (),
        maturity: float | None = None,
    ) -> Self:
        """Fill a region with "concrete", "earth", "lattice" or "steel".

        Concrete: ``maturity`` 0 is fresh, 1 is 28 curing days; without it the open stipple of a section.
        """
        hatches.require(kind, maturity)
        rings = [tuple(region), *map(tuple, holes)]
        return self.add(
            "hatch",
            lambda frame: hatches.hatch(kind, [[frame.px(p) for p in ring] for ring in rings], maturity),
        )

    def center_mark(self, center: Point, radius_ft: float = 0.0, over_px: float = 5.0) -> Self:
        return self.add("axis", lambda frame: furniture.center_mark(frame, center, radius_ft, over_px))

    def section_arrow(self, at: Point, letter: str, looking: float = 90.0) -> Self:
        """The end of a cutting line: heavy stub, arrow in the direction of sight (degrees), letter."""
        return self.add("section", lambda frame: furniture.section_arrow(frame, at, letter, looking))

    def north_arrow(self, at: Point, north: float = 90.0, length_px: float = 34.0) -> Self:
        """``north`` is the direction on the sheet in degrees, 90 is up."""
        return self.add("note", lambda frame: furniture.north_arrow(frame, at, north, length_px))

    def scale_bar(self, at: Point, step_ft: float | None = None, steps: int = 4) -> Self:
        return self.add("note", lambda frame: furniture.scale_bar(frame, at, step_ft, steps))

    def break_line(self, a: Point, b: Point, weight: str = "thin") -> Self:
        return self.add("object", lambda frame: furniture.break_line(frame, a, b, weight))

    def drawing_title(self, at: Point, title: str, note: str = "") -> Self:
        """An underlined title under a view ("Section A-A"), with a note behind it."""
        return self.add("text", lambda frame: furniture.drawing_title(frame, at, title, note))

    def crayon_loop(self, center: Point, width_px: float, height_px: float) -> Self:
        """Round the spot where a person must act today."""
        return self.add("ring", lambda frame: furniture.crayon_loop(frame.px(center), width_px, height_px))

    def crayon_underline(self, a: Point, b: Point) -> Self:
        return self.add("crayon", lambda frame: furniture.crayon_line(frame.px(a), frame.px(b)))

    # --- blocks -----------------------------------------------------------------------------------

    def place(
        self, block: Drawing, at: Point, turn: float = 0.0, grow: float = 1.0, mirrored: bool = False
    ) -> Self:
        """Put another drawing's primitives here, its origin at ``at``: a symbol, a crane, a tower."""
        for layer, made in block._items:
            self.add(layer, _placed(made, at, turn, grow, mirrored))
        return self

    def add(self, layer: str, made: Made) -> Self:
        """A primitive of your own: a function from a Frame to shapes."""
        self._items.append((layer, made))
        return self

    # --- rendering --------------------------------------------------------------------------------

    def shapes(self, px_per_ft: float | None = None) -> list[tuple[str, Shape]]:
        frame = Frame(px_per_ft or self.px_per_ft)
        return [(layer, shape) for layer, made in self._items for shape in made(frame)]

    def box(self, px_per_ft: float | None = None) -> tuple[float, float, float, float]:
        """left, top, right, bottom in px, y down, text included."""
        return bounds(shape for _layer, shape in self.shapes(px_per_ft))


def _placed(made: Made, at: Point, turn: float, grow: float, mirrored: bool) -> Made:
    return lambda frame: made(frame.child(at, turn, grow, mirrored))


def to_svg(
    drawing: Drawing, px_per_ft: float | None = None, *, margin: float = 8.0, for_print: bool = False
) -> str:
    """The drawing as an ``<svg>``, true to scale at 96 px an inch. ValueError for NaN or nothing drawn."""
    return svg_document(
        drawing.shapes(px_per_ft),
        title=drawing.title,
        description=drawing.description,
        margin=margin,
        for_print=for_print,
    )
