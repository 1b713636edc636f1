"""Shapes to SVG text: presentation attributes only, so that page, printer and policy all agree.

Classes ("pencil", "crayon", "blank", "fold") let a page's style sheet recolor for the dark scheme; ink is
``currentColor``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from .dotted import dots_svg
from .shapes import DASHES, WEIGHTS, Dots, Lettering, Pair, Pen, Round, Segments, Shape, Stroke, bounds

SCREEN = {
    "ink": "currentColor",
    "pencil": "#474F54",
    "crayon": "#9A2112",
    "blank": "#F3F2EC",
    "fold": "#E8E7DF",
}
PRINT = {
    "ink": "currentColor",
    "pencil": "currentColor",
    "crayon": "currentColor",
    "blank": "#FFFFFF",
    "fold": "#E8E7DF",
}


_NOT_XML = re.compile("[^\\t\\n\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")


def num(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def svg_document(
    layered: Iterable[tuple[str, Shape]],
    *,
    title: str,
    box: tuple[float, float, float, float] | None = None,
    margin: float = 8.0,
    for_print: bool = False,
    description: str = "",
    inside: str = "",
    under: str = "",
) -> str:
    """A whole ``<svg>``. ``box`` is left, top, right, bottom in px; without it the shapes' own box.

    ``inside`` is SVG that was drawn before (by ``svg_fragment``) and stands after the shapes, ``under``
    stands before them.
    """
    shapes = list(layered)
    left, top, right, bottom = box or _grown(bounds(shape for _layer, shape in shapes), margin)
    width, height = num(right - left), num(bottom - top)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" aria-label={_quoted(title)} '
        f'width="{width}" height="{height}" viewBox="{num(left)} {num(top)} {width} {height}" '
        'fill="none" stroke-linecap="butt">'
    )
    told = f"<title>{escape(clean(title))}</title>"
    if description:
        told += f"<desc>{escape(clean(description))}</desc>"
    return head + told + under + svg_fragment(shapes, for_print=for_print) + inside + "</svg>"


def _grown(box: tuple[float, float, float, float], by: float) -> tuple[float, float, float, float]:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def svg_fragment(layered: Iterable[tuple[str, Shape]], *, for_print: bool = False) -> str:
    """``<g>`` elements, one for each run of shapes on one layer, to stand inside another ``<svg>``."""
    colors = PRINT if for_print else SCREEN
    parts = []
    for layer, run in groupby(layered, key=lambda pair: pair[0]):
        inside = "".join(_element(shape, colors) for _layer, shape in run)
        parts.append(f"<g class={_quoted('layer-' + layer.replace(' ', '-'))}>{inside}</g>")
    return "".join(parts)


def clean(text: str) -> str:
    """Without the characters that XML does not allow."""
    return _NOT_XML.sub("", text)


def _quoted(text: str) -> str:
    return quoteattr(clean(text))


def _element(shape: Shape, colors: dict[str, str]) -> str:
    if isinstance(shape, Stroke):
        tag = "polygon" if shape.closed else "polyline"
        points = " ".join(f"{num(x)},{num(y)}" for x, y in shape.points)
        return f'<{tag} points="{points}"{_paint(shape.pen, colors)}/>'
    if isinstance(shape, Round):
        return _round(shape, colors)
    if isinstance(shape, Dots):
        return dots_svg(shape.points, 2 * shape.radius)
    if isinstance(shape, Segments):
        path = "".join(f"M{_at(a)}L{_at(b)}" for a, b in shape.pieces)
        return f'<path d="{path}"{_paint(shape.pen, colors)}/>' if path else ""
    return _lettering(shape, colors)


def _at(point: Pair) -> str:
    return f"{num(point[0])} {num(point[1])}"


def _round(shape: Round, colors: dict[str, str]) -> str:
    paint = _paint(shape.pen, colors)
    if shape.whole:
        x, y = map(num, shape.center)
        return f'<circle cx="{x}" cy="{y}" r="{num(shape.radius)}"{paint}/>'
    large = int(shape.end - shape.start > 180)
    radius = num(shape.radius)
    path = f"M{_at(shape.at(shape.start))}A{radius} {radius} 0 {large} 0 {_at(shape.at(shape.end))}"
    return f'<path d="{path}"{paint}/>'


def _lettering(shape: Lettering, colors: dict[str, str]) -> str:
    blank = ""
    if shape.blank:
        blank = _element(Stroke(shape.box(), Pen("", fill="blank"), closed=True), colors)
    x, y = shape.at
    turn = f' transform="rotate({num(-shape.turn)} {num(x)} {num(y)})"' if shape.turn else ""
    bold = ' font-weight="600"' if shape.bold else ""
    ink = _class(shape.ink)
    anchor = f' text-anchor="{shape.anchor}"' if shape.anchor != "start" else ""
    return (
        f'{blank}<text x="{num(x)}" y="{num(y)}" font-family={_quoted(shape.family)}'
        f' font-size="{num(shape.size)}"{bold}{anchor}{turn}{ink} fill="{colors[shape.ink]}">'
        f"{escape(clean(shape.text))}</text>"
    )


def _paint(pen: Pen, colors: dict[str, str]) -> str:
    # what is filled with the ground still has a line in its own ink
    named = (pen.fill, pen.ink if pen.weight or not pen.fill else "")
    parts = [_class(" ".join(name for name in named if name not in ("", "ink")))]
    if pen.fill:
        parts.append(f' fill="{colors[pen.fill]}"')
    if pen.weight:
        parts.append(f' stroke="{colors[pen.ink]}" stroke-width="{num(WEIGHTS[pen.weight])}"')
    if pen.dash:
        parts.append(f' stroke-dasharray="{DASHES[pen.dash]}"')
    if pen.ink == "crayon":
        parts.append(' stroke-linecap="round" stroke-linejoin="round"')
    return "".join(parts)


def _class(name: str) -> str:
    return f' class="{name}"' if name not in ("", "ink") else ""
