"""A joint as the wrench hand sees it: every nut with a paint stroke for each pass.

A stroke runs across nut and plate; one that failed is broken and the word is printed; one that is not
counted (wrench out of calibration, other torque) is only outlined.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from xml.sax.saxutils import quoteattr

from installs.drafting.furniture import crayon_loop
from installs.drafting.letters import ROUTED
from installs.drafting.shapes import Lettering, Pair, Pen, Round, Shape, Stroke
from installs.drafting.svg import svg_document, svg_fragment
from installs.tower.facts import JointFacts
from installs.tower.torque import DOUBTED, FAILED, TO_DO, TORQUED, BoltState, JointState

PITCH_X, PITCH_Y = 80.0, 92.0  # a bolt's place, wide enough for a gloved thumb
PANEL, GAP = 164.0, 22.0
ON_PAPER = 0.85  # a joint of 24 bolts and its blanks on one letter page
WASHER, NUT, RING, STUD = 22.5, 19.5, 10.0, 7.0
NUT_PEN, HEAVY = Pen("medium"), Pen("heavy")
PAINT, OUTLINE = Pen("", fill="ink"), Pen("medium", fill="blank")
ANGLES = {1: (3.0,), 2: (97.0, 3.0), 3: (97.0, 50.0, 3.0)}
MIDDLE = (0.0, 0.0)


def joint_svg(
    joint: JointFacts,
    state: JointState | None = None,
    *,
    next_bolt: str = "",
    link: Callable[[str], str] | None = None,
    for_print: bool = False,
) -> str:
    """The whole joint, 357 px wide, smaller on paper.

    ``next_bolt`` stands in brackets; ``link`` gives each bolt an address.
    """
    bolts = {b.bolt: b for b in state.bolts} if state else {}
    shapes, placed, height = _panels(joint)
    body = []
    for bolt, at in placed:
        drawn = bolt_shapes(bolts.get(bolt) or BoltState(bolt, (TO_DO,) * len(joint.passes)), at)
        if bolt == next_bolt:
            drawn += _brackets(at)
        inside = svg_fragment((("bolt", shape) for shape in drawn), for_print=for_print)
        body.append(_linked(inside, bolt, at, bolts.get(bolt), link(bolt)) if link else inside)
    title = f"{joint.title}, {_in_words(joint, state)}"
    whole = svg_document(
        (("joint", shape) for shape in shapes), title=title, box=(-1, 0, 356, height), for_print=for_print
    )
    if for_print:
        sizes = (
            f'width="357" height="{height:g}"',
            f'width="{357 * ON_PAPER:.4g}" height="{height * ON_PAPER:.4g}"',
        )
        whole = whole.replace(*sizes, 1)
    if link:  # a picture holds no links, a group does
        whole = whole.replace('role="img"', 'role="group"', 1)
    return whole.removesuffix("</svg>") + "".join(body) + "</svg>"


def legend_svg(joint: JointFacts, *, for_print: bool = False) -> str:
    """What each stroke means: "pass 2, 185 ft-lb"."""
    shapes: list[Shape] = []
    for index, step in enumerate(joint.passes):
        x = 20.0 + index * 118
        states = tuple(TORQUED if n <= index else TO_DO for n in range(len(joint.passes)))
        shapes += _nut((x, 34), index, 0.62, washer=False)
        shapes += _strokes(states, (x, 34), index, 0.62)
        last = index == len(joint.passes) - 1
        shapes.append(Lettering((x + 30, 30), f"pass {step.number}", 16, bold=last))
        shapes.append(Lettering((x + 30, 50), step.words, 16))
    return svg_document(
        (("legend", shape) for shape in shapes),
        title="strokes by pass",
        box=(-1, 0, 356, 62),
        for_print=for_print,
    )


def _in_words(joint: JointFacts, state: JointState | None) -> str:
    if state is None:
        return f"{len(joint.bolts)} bolts"
    failed = f", {', '.join(state.failed)} failed" if state.failed else ""
    return f"{state.torqued} of {len(joint.bolts)} bolts torqued{failed}"


def _linked(inside: str, bolt: str, at: Pair, state: BoltState | None, address: str) -> str:
    """The bolt and the ground around it as one link, its state said for those who hear the page."""
    said = quoteattr(f"bolt {bolt}, {state.last if state else TO_DO}")
    x, y = at[0] - PITCH_X / 2, at[1] - 42
    size = f'width="{PITCH_X:g}" height="{PITCH_Y:g}"'
    ground = f'<rect x="{x:g}" y="{y:g}" {size} fill="none" pointer-events="all"/>'
    return f"<a href={quoteattr(address)} aria-label={said}>{ground}{inside}</a>"


def _panels(joint: JointFacts) -> tuple[list[Shape], list[tuple[str, Pair]], float]:
    """Outlines of the legs' plates, the place of each bolt, and the height of it all."""
    if not joint.legs:
        return _ring(joint)
    shapes: list[Shape] = []
    placed: list[tuple[str, Pair]] = []
    rows = math.ceil(joint.bolts_per_leg / 2)
    tall = rows * PITCH_Y + 16
    pitch = tall + 56
    for index, leg in enumerate(joint.legs):
        left, top = (index % 2) * (PANEL + GAP), 38 + (index // 2) * pitch
        shapes += _plate(left, top, PANEL, tall, f"leg {leg}")
        for n in range(joint.bolts_per_leg):
            at = (left + 42 + (n % 2) * PITCH_X, top + 44 + (n // 2) * PITCH_Y)
            placed.append((f"{leg}{n + 1}", at))
    return shapes, placed, math.ceil(len(joint.legs) / 2) * pitch + 4


def _ring(joint: JointFacts) -> tuple[list[Shape], list[tuple[str, Pair]], float]:
    """A tube's flange rolled out: bolts clockwise from the door, four in a row."""
    rows = math.ceil(joint.bolts_per_leg / 4)
    tall = rows * PITCH_Y + 16
    places = [(54 + (n % 4) * PITCH_X, 82 + (n // 4) * PITCH_Y) for n in range(joint.bolts_per_leg)]
    placed = list(zip(joint.bolts, places, strict=True))
    return _plate(0, 38, 350, tall, "flange, clockwise from the door"), placed, tall + 60


def _plate(left: float, top: float, width: float, height: float, name: str) -> list[Shape]:
    """A plate with the leg running on above and below it."""
    foot, right = top + height, left + width
    corners = ((left, top), (right, top), (right, foot), (left, foot))
    shapes: list[Shape] = [Stroke(corners, HEAVY, closed=True)]
    for x in (left + 14, right - 14):
        shapes += [Stroke(((x, top - 8), (x, top)), NUT_PEN), Stroke(((x, foot), (x, foot + 8)), NUT_PEN)]
    shapes.append(Lettering((left + width / 2, top - 8), name, 16, "middle", family=ROUTED))
    return shapes


def bolt_shapes(state: BoltState, at: Pair) -> list[Shape]:
    """One bolt with its strokes and its name; a failed one inside a crayon loop."""
    seed = sum(map(ord, state.bolt)) * 7
    shapes = [*_nut(at, seed, 1.0), *_strokes(state.passes, at, seed, 1.0)]
    said, bold = state.bolt, False
    if state.failed:
        said, bold = f"{state.bolt} failed", True
        shapes += crayon_loop((at[0] + 4, at[1] - 3), 84.0, 66.0)
    elif DOUBTED in state.passes:
        said, bold = f"{state.bolt} open", True
    name = Lettering((at[0] - 2, at[1] + 44), said, 16, "middle", bold=bold)
    return [*shapes, name]


def _nut(at: Pair, seed: int, grow: float, washer: bool = True) -> list[Shape]:
    turn = math.radians(seed * 37 % 60)
    corners = tuple(
        (
            at[0] + grow * NUT * math.cos(turn + n * math.tau / 6),
            at[1] + grow * NUT * math.sin(turn + n * math.tau / 6),
        )
        for n in range(6)
    )
    shapes: list[Shape] = [Round(at, WASHER, NUT_PEN)] if washer else []
    rings = (
        [Round(at, RING, NUT_PEN), Round(at, STUD, Pen("thin"))] if washer else [Round(at, STUD, Pen("thin"))]
    )
    return [*shapes, Stroke(corners, NUT_PEN, closed=True), *rings]


def _strokes(passes: tuple[str, ...], at: Pair, seed: int, grow: float) -> list[Shape]:
    angles = ANGLES.get(len(passes)) or tuple(97 - 94 * n / (len(passes) - 1) for n in range(len(passes)))
    shapes: list[Shape] = []
    for index, (state, angle) in enumerate(zip(passes, angles, strict=True)):
        if state == FAILED:
            shapes += _broken(at, angle, seed + index, grow)
        elif state in (TORQUED, DOUBTED):
            pen = PAINT if state == TORQUED else OUTLINE
            shapes.append(_paint(at, angle, 8.5, 35.5, seed + index, grow, pen))
    return shapes


def _broken(at: Pair, angle: float, seed: int, grow: float) -> list[Shape]:
    """The nut has turned its half of the stroke away from the plate's half."""
    return [
        _paint(at, angle, 24, 35.5, seed, grow, PAINT),
        _paint(at, angle - 48, 9, 21, seed + 1, grow, PAINT),
    ]


def _paint(at: Pair, angle: float, start: float, end: float, seed: int, grow: float, pen: Pen) -> Stroke:
    """A brush stroke outward from the nut, its edges a hand's."""
    way = math.radians(angle + 3 * math.sin(seed * 12.9))
    along, across = (math.cos(way), -math.sin(way)), (math.sin(way), math.cos(way))

    def point(out: float, side: float) -> Pair:
        return at[0] + grow * (along[0] * out + across[0] * side), at[1] + grow * (
            along[1] * out + across[1] * side
        )

    wobble = [0.7 * math.sin(seed * 3.7 + n) for n in range(6)]
    middle = (start + end) / 2
    outline = (
        point(start, -3.1), point(middle, -3.2 + wobble[0]), point(end + wobble[1], -2.6),
        point(end - 1.2 + wobble[2], 2.9), point(middle, 3.0 + wobble[3]), point(start + wobble[4], 2.7),
    )  # fmt: skip
    return Stroke(outline, pen, closed=True)


def _brackets(at: Pair) -> list[Shape]:
    """Four corners round the bolt that comes next."""
    shapes: list[Shape] = []
    left, right, top, foot = at[0] - 36, at[0] + 38, at[1] - 40, at[1] + 50
    for x, inward in ((left, 10), (right, -10)):
        for y, down in ((top, 10), (foot, -10)):
            shapes.append(Stroke(((x + inward, y), (x, y), (x, y + down)), HEAVY))
    return shapes
