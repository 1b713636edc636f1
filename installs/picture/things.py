"""Pad, tower, head, crane pad, trench, building, ground station and line from the side, each by its state.

Drafted is dashed, released a thin outline, under way half hatched, built hatched in full with a heavy
outline; what is void is crossed out, what is held has the triangle of its deviation. Feet are to scale; what
nobody measured (how thick a crane pad is, a cabinet) keeps its size on the paper.
"""

from __future__ import annotations

import math
from functools import partial

from installs.drafting import Drawing, marks
from installs.drafting.frame import Frame, Point
from installs.drafting.shapes import Pen, Segments, Shape
from installs.picture.scene import Head, Pad, Section, State, Thing, Tower, Trench
from installs.picture.states import PartState

LEAST_BAY_PX, NARROW_PX = 7.0, 6.0
HATCHED = (State.UNDER_WAY, State.BUILT)


def outline(state: State) -> dict[str, str]:
    """Pen of a part's outline."""
    if state in (State.NOTHING, State.DRAFTED):
        return {"weight": "medium", "dash": "tentative", "ink": "pencil"}
    return {"weight": "bar" if state is State.BUILT else "medium"}


def crossed(d: Drawing, left: float, foot: float, right: float, head: float) -> None:
    """A void part: struck from corner to corner."""
    for a, b in (((left, foot), (right, head)), ((left, head), (right, foot))):
        d.line(a, b, weight="bar", ink="crayon", layer="void")


def held(d: Drawing, tip: Point, number: int) -> None:
    def made(frame: Frame) -> list[Shape]:
        x, y = frame.px(tip)
        return marks.deviation(x, y - 4, number)

    d.add("mark", made)


def broken(d: Drawing, a: Point, b: Point) -> None:
    d.break_line(a, b)


def pad(d: Drawing, drawn: Pad, state: PartState) -> None:
    half = drawn.side_ft / 2
    corners = [(-half, drawn.bottom_ft), (half, drawn.bottom_ft), (half, drawn.top_ft), (-half, drawn.top_ft)]
    how = outline(state.state)
    rings = [corners]
    if drawn.pedestal_side_ft is not None:
        wide = drawn.pedestal_side_ft / 2
        rings.append(
            [(-wide, drawn.top_ft), (wide, drawn.top_ft), (wide, drawn.seat_ft), (-wide, drawn.seat_ft)]
        )
    for ring in rings:
        d.polygon(ring, weight="", fill="blank", layer="concrete")
        if state.maturity is not None and state.state is not State.NOTHING:
            d.hatch("concrete", ring, maturity=state.maturity)
        elif state.state is State.UNDER_WAY:  # dug, not poured
            d.hatch("earth", ring)
        d.polygon(ring, **how, layer="concrete")
    if state.state is State.VOID:
        crossed(d, -half, drawn.bottom_ft, half, drawn.seat_ft)


def tower(d: Drawing, drawn: Tower, state: State) -> None:
    foot = drawn.seat_ft
    how = outline(state)
    for section in drawn.sections:
        head = foot + section.length_ft
        low, high = section.bottom_ft / 2, section.top_ft / 2
        corners = [(-low, foot), (low, foot), (high, head), (-high, head)]
        solid = drawn.is_tube and state is State.BUILT and low * d.px_per_ft * 2 < NARROW_PX
        d.polygon(corners, **how, fill="ink" if solid else "blank", layer="tower")
        if state in HATCHED and not solid:
            d.add("tower", partial(_braces, section=section, foot=foot, drawn=drawn, state=state))
        foot = head
    if state is State.VOID:
        wide = drawn.sections[0].bottom_ft / 2
        crossed(d, -wide, drawn.seat_ft, wide, drawn.top_ft)


def _braces(frame: Frame, *, section: Section, foot: float, drawn: Tower, state: State) -> list[Shape]:
    """Diagonals of a lattice, slanted strokes on a tube: one way while it lies, both when it stands."""
    mean = (section.bottom_ft + section.top_ft) / 2
    bay = max(LEAST_BAY_PX / frame.length(1.0), mean * (0.5 if drawn.is_tube else 1.0))
    bays = max(1, round(section.length_ft / bay))
    pieces = []
    for place in range(bays):
        (y1, w1), (y2, w2) = (_side(section, foot, n / bays) for n in (place, place + 1))
        turn = 1 if drawn.is_tube or place % 2 == 0 else -1
        pieces.append((frame.px((-turn * w1, y1)), frame.px((turn * w2, y2))))
        if state is State.BUILT:
            pieces.append((frame.px((turn * w1, y1)), frame.px((-turn * w2, y2))))
    return [Segments(tuple(pieces), Pen("hatch"))]


def _side(section: Section, foot: float, share: float) -> tuple[float, float]:
    """Height and half the width at a share of a section's length."""
    wide = section.bottom_ft + (section.top_ft - section.bottom_ft) * share
    return foot + section.length_ft * share, wide / 2


def head(d: Drawing, drawn: Head, state: State) -> None:
    """Blades edge-on, body, tail; wind from the left."""
    hub, mid = -drawn.ahead_ft, drawn.hub_ft
    how, half = outline(state), drawn.body_height_ft / 2
    away = 1 if hub <= 0 else -1
    back = hub + away * drawn.body_length_ft
    if drawn.tail_ft > max(hub, back):
        vane = drawn.tail_ft - min(2.5 * drawn.body_height_ft, (drawn.tail_ft - back) * 0.5)
        d.line((back, mid), (vane, mid), **how, layer="turbine")
        corners = [(vane, mid - half), (drawn.tail_ft, mid - 1.6 * half), (drawn.tail_ft, mid + 1.6 * half),
                   (vane, mid + half)]  # fmt: skip
        d.polygon(corners, **how, fill="blank", layer="turbine")
        _shaded(d, corners, state)
    body = [(min(hub, back), mid - half), (max(hub, back), mid - half), (max(hub, back), mid + half),
            (min(hub, back), mid + half)]  # fmt: skip
    d.polygon(body, **how, fill="blank", layer="turbine")
    _shaded(d, body, state)
    radius, root = drawn.rotor_ft / 2, max(drawn.rotor_ft * 0.02, 1.2 / d.px_per_ft)
    fill = "ink" if state is State.BUILT else "blank"
    for way in (-1, 1):
        blade = [(hub - root, mid), (hub, mid + way * radius), (hub + root, mid), (hub, mid - way * root)]
        d.polygon(blade, **{**how, "weight": "medium"}, fill=fill, layer="turbine")
    if state is State.VOID:
        crossed(d, min(hub, back), mid - 2 * half, max(hub, back, drawn.tail_ft), mid + 2 * half)


def _shaded(d: Drawing, corners: list[tuple[float, float]], state: State) -> None:
    if state in HATCHED:
        d.hatch("steel", corners)


def crane_pad(d: Drawing, left: float, right: float, state: State) -> None:
    """A mat on grade: how thick nobody says."""

    def corner(x: float, up: float) -> Point:
        return (x, 0, 0, up)

    corners = [corner(left, -6), corner(right, -6), corner(right, 0), corner(left, 0)]
    d.polygon(corners, **outline(state), fill="blank", layer="crane pad")
    if state in HATCHED:
        d.hatch("steel", corners)
    if state is State.VOID:
        for one, other in ((corners[0], corners[2]), (corners[1], corners[3])):
            d.line(one, other, weight="bar", ink="crayon", layer="void")


def trench(d: Drawing, ends: tuple[float, float], drawn: Trench, state: State) -> None:
    """Its bottom at the cover of the conductors; where that is not given it is dotted just under grade."""
    a, b = ends
    deep = drawn.cover_ft or 0.0
    down = 0.0 if deep else -4.0
    corners: list[Point] = [(a, 0, 0, 0), (a, -deep, 0, down), (b, -deep, 0, down), (b, 0, 0, 0)]
    how = outline(state)
    if not deep:
        how = {**how, "dash": "waiting"}
    d.polyline(corners, **how, layer="trench")
    if state in HATCHED:
        d.add("trench", lambda frame: _ticks(frame.px(corners[1]), frame.px(corners[2]), state))
    if state is State.VOID:
        middle = (a + b) / 2
        for way in (-1, 1):
            d.line(
                (middle, 0, -8 * way, 6),
                (middle, -deep, 8 * way, -6),
                weight="bar",
                ink="crayon",
                layer="void",
            )


def _ticks(a: tuple[float, float], b: tuple[float, float], state: State) -> list[Shape]:
    """The conductor's cross-ticks: wide apart while it is dug and wired, close once it is in."""
    apart = 22.0 if state is State.UNDER_WAY else 9.0
    count = max(1, math.floor((b[0] - a[0]) / apart))
    xs = [a[0] + (b[0] - a[0]) * (n + 0.5) / count for n in range(count)]
    return [Segments(tuple(((x - 2, a[1] + 4), (x + 2, a[1] - 4)) for x in xs), Pen("medium"))]


def building(d: Drawing, left: float, wide: float, drawn: Thing, *, is_small: bool = False) -> None:
    """What stands there already: thin, and dashed where its size is not given."""
    foot = drawn.ground_ft
    high = drawn.height_ft if drawn.height_ft is not None else 12.0
    known = drawn.height_ft is not None and drawn.width_ft is not None
    eaves, right = foot + high * 0.6, left + wide
    dash = "" if known else "tentative"
    cut = drawn.width_ft is not None and drawn.width_ft > wide and not is_small
    corners = [(left, foot), (left, eaves), (left + wide / 2, foot + high), (right, eaves), (right, foot)]
    d.polygon(corners, weight="medium", dash=dash, ink="pencil", fill="blank", layer="building")
    if cut:
        d.polygon([(right, foot, -4, 0), (right, eaves, -4, 8), (right, eaves, 2, 8), (right, foot, 2, 0)],
                  weight="", fill="blank", layer="building")  # fmt: skip
        broken(d, (right, foot, -4, 0), (right, eaves, -4, 8))


def station(d: Drawing, at: float, state: State, *, is_small: bool = False) -> None:
    """Its cabinet at the wall: a symbol, for nobody draws how large it is."""
    right, low, high = (5.5, 1.5, 7) if is_small else (10, 4, 16)
    corners: list[Point] = [(at, 0, 1.5, low), (at, 0, right, low), (at, 0, right, high), (at, 0, 1.5, high)]
    fill = "ink" if state is State.BUILT else "blank"
    d.polygon(corners, **outline(state), fill=fill, layer="ground station")
    if state is State.UNDER_WAY:
        d.hatch("steel", corners)
    if state is State.VOID:
        for one, other in ((corners[0], corners[2]), (corners[1], corners[3])):
            d.line(one, other, weight="bar", ink="crayon", layer="void")


def utility_line(d: Drawing, at: float, end: float, drawn: Thing, state: State) -> None:
    """A pole with its arm and conductors, which go on past the sheet."""
    high = drawn.height_ft if drawn.height_ft is not None else 20.0
    how = outline(state)
    if drawn.height_ft is None:
        how = {**how, "dash": "tentative"}
    foot = drawn.ground_ft
    d.line((at, foot), (at, foot + high), **how, layer="line")
    arm = foot + high
    d.line((at, arm, -7, -3), (at, arm, 7, -3), **how, layer="line")
    for shift in (-6, 6):
        d.line((at, arm, shift, -3), (end, arm, shift, -3 - shift / 3), weight="thin", layer="line")
        if state in HATCHED:  # a wired one has the conductor's ticks
            d.line((at, arm, shift + 5, -8), (at, arm, shift + 9, 1), weight="hatch", layer="line")


def swatch(d: Drawing, at: tuple[float, float], state: State) -> None:
    """A small box in the manner of a state, for the legend."""
    x, y = at
    corners: list[Point] = [(0, 0, x, y), (0, 0, x + 26, y), (0, 0, x + 26, y + 12), (0, 0, x, y + 12)]
    d.polygon(corners, **outline(state), layer="legend")
    if state is State.UNDER_WAY:
        pieces = tuple(((x + n, -y), (x + n + 8, -y - 12)) for n in (1, 9, 17))
        d.add(
            "legend",
            lambda frame: [Segments(tuple((_on(frame, a), _on(frame, b)) for a, b in pieces), Pen("hatch"))],
        )
    elif state is State.BUILT:
        d.hatch("steel", corners)
    elif state is State.HELD:
        d.add("legend", lambda frame: marks.deviation(*_on(frame, (x + 13, -y - 6)), 1, size=14))
    elif state is State.VOID:
        for one, other in ((corners[0], corners[2]), (corners[1], corners[3])):
            d.line(one, other, weight="bar", ink="crayon", layer="void")


def _on(frame: Frame, at: tuple[float, float]) -> tuple[float, float]:
    return frame.px((0, 0, at[0], -at[1]))
