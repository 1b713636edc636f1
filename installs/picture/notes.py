"""What is said beside the picture: notes under the ground line and in the sky, numbers, the legend."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from string import ascii_lowercase

from installs.drafting import Drawing
from installs.drafting.lanes import spread
from installs.drafting.letters import NOTE, TEXT, text_width, wrapped
from installs.picture import things
from installs.picture.scene import State
from installs.picture.sheet import Sheet, drawn_width, tips_of
from installs.picture.words import ORDER, figure_words, listed, off_words

NOTE_PX = 176.0
SKY_WIDE_PX = 300.0  # what a note beside the tower takes


@dataclass(frozen=True)
class Note:
    """What is said of one thing under the ground line, and where on it the leader ends."""

    key: str
    title: str
    lines: tuple[str, ...]
    tip: tuple[float, float]
    call_at: int | None = None  # which of the lines needs a person


def notes(sheet: Sheet) -> None:
    d, tips = sheet.d, tips_of(sheet)
    right = sheet.right.width_px
    over = -math.inf
    for key in ("tower", "turbine"):
        if key in tips:
            over = _sky_note(sheet, key, tips[key][1], over)
    row = _row(sheet, tips)
    if not row:
        return _legend(sheet, -(sheet.low_px + 30))
    total = sheet.form.width_px - sheet.form.left_px
    room = max(right + sheet.left.width_px, total)
    width = min(NOTE_PX, room / len(row) - 14)
    anchors = [note.tip[0] * sheet.scale for note in row]
    lefts = spread([x - 10 for x in anchors], width + 14, -sheet.left.width_px, room - sheet.left.width_px)
    top = -(sheet.low_px + 62)
    deepest = 0.0
    for note, x, anchor in zip(row, lefts, anchors, strict=True):
        under = note.tip[1] * sheet.scale - 3
        way = [(0, 0, anchor, under), (0, 0, anchor, top + 26), (0, 0, x + 8, top + 15)]
        d.polyline(way, weight="thin", layer="note")
        deepest = max(deepest, _block(d, (x, top), note, width))
    _legend(sheet, top - deepest - 18)


def _row(sheet: Sheet, tips: Mapping[str, tuple[float, float]]) -> list[Note]:
    on_ground = [key for key in ORDER if key in tips and key not in ("turbine", "tower")]
    notes = [_note(sheet, key, tips[key]) for key in on_ground]
    for thing in sheet.scene.buildings:
        if not (thing.has_station and "station" in tips):
            middle = sheet.x(thing.distance_ft + drawn_width(thing, sheet.form) / 2)
            notes.append(Note("building", thing.name, (off_words(thing),), (middle, 0.0)))
    return sorted(notes, key=lambda note: note.tip[0])


def _note(sheet: Sheet, key: str, tip: tuple[float, float]) -> Note:
    state = sheet.states[key]
    said = figure_words(sheet.scene, key)
    title = sheet.scene.line.name if key == "line" and sheet.scene.line else state.title
    lines = tuple(filter(None, (said, state.call, state.words, state.next)))
    return Note(key, title, lines, tip, lines.index(state.call) if state.call else None)


def _block(d: Drawing, at: tuple[float, float], note: Note, width: float) -> float:
    """A title and its lines from ``at`` (px from the tower at grade) downward; gives how high it is."""
    x, y = at
    d.text((0, 0, x, y), "\n".join(titles := wrapped(note.title, 0.94 * width, TEXT)), size=TEXT, routed=True)
    y -= 18 * (len(titles) - 1)
    for place, line in enumerate(note.lines):
        ink = "crayon" if place == note.call_at else "ink"
        for part in wrapped(line, width, NOTE):
            y -= 16
            d.text((0, 0, x, y), part, size=NOTE, ink=ink)
            if ink == "crayon":
                d.crayon_underline((0, 0, x, y - 4), (0, 0, x + text_width(part, NOTE), y - 4))
                y -= 5  # the crayon is broad: the next line keeps clear of it
    return at[1] - y


def _sky_note(sheet: Sheet, key: str, feet: float, over: float) -> float:
    """Right of the tower, over roofs and over the note that stands at ``over`` px; gives where it stands."""
    note = _note(sheet, key, (0.0, feet))
    scene = sheet.scene
    reach = 0.0
    if key == "turbine" and scene.head:
        reach = max(scene.head.tail_ft, scene.head.body_length_ft - scene.head.ahead_ft)
    elif scene.tower:
        reach = max(section.bottom_ft for section in scene.tower.sections) / 2
    begin, x = reach * sheet.scale + 5, reach * sheet.scale + 36
    deep = 16 * sum(len(wrapped(line, SKY_WIDE_PX, NOTE)) for line in note.lines)
    y = max(feet * sheet.scale, _roofs(sheet, x) + deep + 12, over + deep + 24)
    sheet.d.line((0, 0, begin, feet * sheet.scale), (0, 0, x - 5, y), weight="thin", layer="note")
    _block(sheet.d, (x, y - 4), note, SKY_WIDE_PX)
    return y


def _roofs(sheet: Sheet, left_px: float) -> float:
    """How high what stands near reaches under a note in the sky that begins at ``left_px``."""
    near = [*sheet.scene.buildings, *([sheet.scene.line] if sheet.scene.line else [])]
    right = (left_px + SKY_WIDE_PX) / sheet.scale
    under = [thing for thing in near if sheet.x(thing.distance_ft) < right]
    return max((((thing.height_ft or 20.0) + thing.ground_ft) * sheet.scale for thing in under), default=0.0)


def _legend(sheet: Sheet, y: float) -> None:
    """What the lines and hatches mean, and the scale."""
    d = sheet.d
    x = -sheet.left.width_px
    for state in (State.DRAFTED, State.RELEASED, State.UNDER_WAY, State.BUILT, State.HELD, State.VOID):
        things.swatch(d, (x, y - 20), state)
        d.text((0, 0, x + 34, y - 18), state.value, size=NOTE)
        x += 34 + text_width(state.value, NOTE) + 26
    d.scale_bar((0, 0, x + 16, y - 18), steps=2)


def numbers(sheet: Sheet) -> None:
    """The number of each part as the list under the picture has it."""
    d, tips = sheet.d, tips_of(sheet)
    number = {key: place for place, key in enumerate(listed(sheet.scene, sheet.states), start=1)}
    right = {"turbine": 16.0, "tower": 8.0}
    scene = sheet.scene
    for key in ("turbine", "tower"):
        if key in tips:
            x, y = tips[key]
            reach = max(scene.head.tail_ft, 4) if key == "turbine" and scene.head else 4.0
            d.balloon((reach, y, right[key] + 10, 0), number[key], tip=(max(x, 0), y, 2, 0))
    row: list[tuple[tuple[float, float], str]] = [
        (tips[key], str(number[key])) for key in tips if key not in right
    ]
    others = [thing for thing in scene.buildings if not thing.has_station]
    for letter, thing in zip(ascii_lowercase, others, strict=False):
        row.append(((sheet.x(thing.distance_ft + drawn_width(thing, sheet.form) / 2), 0.0), letter))
    row.sort()
    anchors = [tip[0] * sheet.scale for tip, _ in row]
    ends = -sheet.left.width_px - 10, sheet.right.width_px + 10
    lefts = spread([x - 12 for x in anchors], 26, *ends)
    low = sheet.low_px + 70
    for (tip, name), x in zip(row, lefts, strict=True):
        elbow = (tip[0], 0, 0, 22 - low)
        d.polyline([(*tip, 0, -2), elbow, (0, 0, x + 12, 10 - low)], weight="thin", layer="note")
        d.balloon((0, 0, x + 12, -low), name)


def thumb_words(sheet: Sheet) -> None:
    """The one figure that tells jobs apart."""
    scene = sheet.scene
    feet = scene.head.hub_ft if scene.head else scene.tower.top_ft if scene.tower else None
    if feet is not None:
        reach = scene.head.tail_ft if scene.head else 2.0
        at = (0, feet * 0.55 if scene.tower else feet, reach * sheet.scale + 4, 0)
        sheet.d.text(at, f"{feet:.0f} ft", size=NOTE)
