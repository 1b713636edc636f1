"""The small marks that carry the kind of work, for strips, job books and lists; always beside the word.

Excavation is earth, pour and cure are stipple, tower steel a lattice, a lift a hook, wiring a conductor with
ticks, a paper a sheet on a staff, a survey a triangle, a weather day four corners, commissioning a C, a
deviation a numbered triangle. Each function gives shapes in px, y down, to stand on a strip by
``fragment(shapes)``; ``mark(kind)`` gives a whole small ``<svg>`` for a list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from .hatches import hatch, stones
from .letters import ROUTED
from .shapes import Dots, Lettering, Pen, Round, Segments, Shape, Stroke
from .stipple import dots_between, graded_dots
from .svg import num, svg_document, svg_fragment

THIN, MEDIUM, BAR = Pen("thin"), Pen("medium"), Pen("bar")
SOLID = Pen("thin", fill="ink")


def fragment(shapes: Iterable[Shape], for_print: bool = False) -> str:
    """``<g>...</g>`` to stand inside a strip's own ``<svg>``."""
    return svg_fragment((("mark", shape) for shape in shapes), for_print=for_print)


def box(x: float, y: float, width: float, height: float, pen: Pen = THIN) -> Stroke:
    return Stroke(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), pen, closed=True)


def earth(x: float, y: float, width: float, height: float) -> list[Shape]:
    """Excavation: bundles of three strokes, each turned against its neighbor."""
    return hatch("earth", [box(x, y, width, height).points], None)


def pour(x: float, y: float, width: float, height: float) -> list[Shape]:
    """A pour's day: dense stipple in a frame of its own."""
    dots = tuple(dots_between(x, y, x + width, y + height, 0.75))
    return [Dots(dots), box(x, y, width, height, MEDIUM)]


def cure(
    x: float, y: float, width: float, height: float, maturity_at: Callable[[float], float | None]
) -> list[Shape]:
    """Stipple that thickens along the strip; ``maturity_at(x_px)`` runs from 0 to 1."""
    right, foot = x + width, y + height
    dots = tuple(graded_dots(x, y, right, foot, maturity_at))
    fresh = list(dots_between(x + 4, y + 4, right - 4, foot - 4, 0.0))
    ground = Stroke(((x, foot), (right, foot)), THIN)
    return [Dots(dots), *stones(fresh[5::17]), ground]


def lattice(x: float, y: float, width: float, height: float, bay: float = 7.0) -> list[Shape]:
    """Tower steel: two chords and crosses, one bay half a day; upright when taller than wide."""
    upright = height > width
    long, short = (height, width) if upright else (width, height)
    bays = max(1, round(long / bay))
    pieces = []
    for i in range(bays + 1):
        at = long * i / bays
        pieces.append(((at, 0.0), (at, short)))
        if i < bays:
            end = long * (i + 1) / bays
            pieces += [((at, 0.0), (end, short)), ((at, short), (end, 0.0))]
    chords = [((0.0, 0.0), (long, 0.0)), ((0.0, short), (long, short))]

    def at_paper(point: tuple[float, float]) -> tuple[float, float]:
        return (x + point[1], y + point[0]) if upright else (x + point[0], y + point[1])

    return [
        Segments(tuple((at_paper(a), at_paper(b)) for a, b in pieces), Pen("hatch")),
        Segments(tuple((at_paper(a), at_paper(b)) for a, b in chords), MEDIUM),
    ]


def hook(x: float, y: float, height: float = 14.0) -> list[Shape]:
    """A lift: rope, block, hook, hanging from (x, y); the hook is 11 px high, the rest is rope."""
    block = y + max(height - 11.0, 0.0)
    corners = ((x - 3, block), (x + 3, block), (x + 2, block + 4), (x - 2, block + 4))
    shapes: list[Shape] = [
        Stroke(corners, SOLID, closed=True),
        Stroke(((x, block + 4), (x, block + 5)), BAR),
        Round((x, block + 8), 3.0, BAR, start=-165, end=90),
    ]
    if block > y:
        shapes.insert(0, Stroke(((x, y), (x, block)), MEDIUM))
    return shapes


def wiring(x: float, y: float, width: float) -> list[Shape]:
    """A conductor with slanted ticks; y is the conductor."""
    count = max(2, int(width // 6))
    step = width / count
    ticks = ((x + (i + 0.5) * step - 2, y + 5, x + (i + 0.5) * step + 2, y - 5) for i in range(count))
    return [
        Stroke(((x, y), (x + width, y)), MEDIUM),
        Segments(tuple(((x1, y1), (x2, y2)) for x1, y1, x2, y2 in ticks), Pen("hatch")),
    ]


def paper(x: float, y: float, in_hand: bool, promised_x: float | None = None) -> list[Shape]:
    """A folded sheet on a staff, foot at (x, y); filled when in hand; dots to the day promised."""
    top, wide, high, fold = y - 16.0, 9.0, 9.0, 3.0
    sheet = (
        (x, top),
        (x + wide - fold, top),
        (x + wide, top + fold),
        (x + wide, top + high),
        (x, top + high),
    )
    corner = ((x + wide - fold, top), (x + wide - fold, top + fold), (x + wide, top + fold))
    shapes: list[Shape] = [
        Stroke(((x, top), (x, y)), MEDIUM),
        Stroke(sheet, SOLID if in_hand else MEDIUM, closed=True),
        Stroke(corner, Pen("thin", fill="blank"), closed=True),
    ]
    if promised_x is not None and promised_x > x + wide:
        shapes += [
            Stroke(((x + wide + 2, y - 4), (promised_x, y - 4)), Pen("medium", "waiting")),
            Stroke(((promised_x, y - 8), (promised_x, y)), MEDIUM),
        ]
    return shapes


def survey(x: float, y: float, size: float = 15.0) -> list[Shape]:
    """A triangle with a point, its middle at (x, y)."""
    half, up = size / 2, size * 0.6
    triangle = ((x, y - up), (x + half, y + size * 0.3), (x - half, y + size * 0.3))
    return [Stroke(triangle, MEDIUM, closed=True), Round((x, y), 1.3, SOLID)]


def weather_day(x: float, y: float, width: float = 12.0, height: float = 12.0) -> list[Shape]:
    """Four corners, nothing inside: a day kept free."""
    reach = min(width, height) / 3
    shapes: list[Shape] = []
    for cx, along in ((x, reach), (x + width, -reach)):
        for cy, down in ((y, reach), (y + height, -reach)):
            shapes.append(Stroke(((cx + along, cy), (cx, cy), (cx, cy + down)), MEDIUM))
    return shapes


def commissioning(x: float, y: float, radius: float = 7.0) -> list[Shape]:
    """A plain circle with C, its middle at (x, y)."""
    letter = Lettering((x, y + radius * 0.55), "C", radius * 1.5, "middle", family=ROUTED)
    return [Round((x, y), radius, Pen("medium", fill="blank")), letter]


def maintenance(x: float, y: float, radius: float = 6.5) -> list[Shape]:
    """A dial with one hand: what comes round every year."""
    return [Round((x, y), radius, MEDIUM), Stroke(((x, y), (x, y - radius * 0.65)), MEDIUM)]


def deviation(x: float, y: float, number: int, size: float = 18.0) -> list[Shape]:
    """A numbered triangle, its middle at (x, y)."""
    half, up = size / 2, size * 0.55
    triangle = ((x, y - up), (x + half, y + size * 0.35), (x - half, y + size * 0.35))
    figure = Lettering((x, y + size * 0.24), str(number), size * 0.55, "middle")
    return [Stroke(triangle, Pen("medium", fill="blank"), closed=True), figure]


def gate(left: float, right: float, y: float, end: float = 4.0, sign: float = 18.0) -> list[Shape]:
    """The gap of a grade line from left to right: end ticks and the line to sign beneath."""
    return [
        Stroke(((left, y - end), (left, y + end)), MEDIUM),
        Stroke(((right, y - end), (right, y + end)), MEDIUM),
        Stroke(((left - 4, y + sign), (right + 4, y + sign)), MEDIUM),
    ]


def struck(x: float, y: float, width: float = 16.0, height: float = 9.0) -> list[Shape]:
    """Two slanted strokes over what was moved, middle at (x, y)."""
    lines = ((x - width / 2, y + height / 2 + s, x + width / 2, y - height / 2 + s) for s in (-2, 2))
    return [Stroke(((x1, y1), (x2, y2)), BAR) for x1, y1, x2, y2 in lines]


def silent(x: float, y: float, width: float, height: float) -> list[Shape]:
    """A logger that said nothing: slanted strokes across the gap."""
    count = max(2, int(width // 5))
    step = width / count
    return [
        Segments(tuple(((x + i * step, y + height), (x + (i + 1) * step, y)) for i in range(count)), THIN)
    ]


def fold_triangle(x: float, y: float, size: float = 10.0, down: bool = True) -> list[Shape]:
    """Today's black triangle on the margin, tip at (x, y)."""
    back = y - size if down else y + size
    return [Stroke(((x, y), (x - size * 0.6, back), (x + size * 0.6, back)), SOLID, closed=True)]


def _stubs(y: float) -> list[Shape]:
    """The grade line to both sides of a small gate."""
    return [Stroke(((0, y), (8, y)), MEDIUM), Stroke(((16, y), (24, y)), MEDIUM)]


_SMALL: dict[str, tuple[str, Callable[[], list[Shape]]]] = {
    "survey": ("survey", lambda: survey(12, 10)),
    "permits": ("paper requested", lambda: paper(7, 18, in_hand=False)),
    "paper": ("paper in hand", lambda: paper(7, 18, in_hand=True)),
    "excavation": ("excavation", lambda: [Stroke(((0, 2), (24, 2)), MEDIUM), *earth(0, 3, 24, 14)]),
    "pour": ("pour", lambda: pour(5, 2, 14, 14)),
    "cure": ("cure", lambda: [*cure(0, 3, 24, 12, lambda x: x / 24), Stroke(((0, 3), (24, 3)), MEDIUM)]),
    "tower": ("tower assembly", lambda: lattice(0, 5, 24, 9, bay=8)),
    "lift": ("lift", lambda: hook(12, 1, 16)),
    "wiring": ("wiring", lambda: wiring(0, 10, 24)),
    "commissioning": ("commissioning", lambda: commissioning(12, 10)),
    "maintenance": ("maintenance", lambda: maintenance(12, 10)),
    "weather day": ("weather day, kept free", lambda: weather_day(6, 4)),
    "gate": ("gate", lambda: [*gate(8, 16, 6, sign=12), *_stubs(6)]),
    "struck": ("struck", lambda: struck(12, 10)),
}
KINDS = tuple(_SMALL)


def mark(kind: str, *, height: float = 20.0, for_print: bool = False) -> str:
    """A whole ``<svg>`` of 24 by 20 units, ``height`` px high, of a kind from KINDS. KeyError otherwise."""
    title, made = _SMALL[kind]
    return _small(title, made(), height, for_print)


def deviation_mark(number: int, *, height: float = 20.0, for_print: bool = False) -> str:
    return _small(f"deviation {number}", deviation(12, 11, number), height, for_print)


def _small(title: str, shapes: list[Shape], height: float, for_print: bool) -> str:
    whole = svg_document(
        (("mark", shape) for shape in shapes), title=title, box=(-1, 0, 25, 20), for_print=for_print
    )
    return whole.replace('width="26" height="20"', f'width="{num(height * 1.3)}" height="{num(height)}"', 1)


def crayon_underline(width: float) -> str:
    """A waxy line ``width`` px long, as a whole ``<svg>``, to lie under the words of a call."""
    from .furniture import crayon_line

    shapes = crayon_line((2.0, 4.0), (width - 2.0, 4.0))
    return svg_document(
        (("crayon", shape) for shape in shapes), title="for a person today", box=(0, 0, width, 9)
    )
