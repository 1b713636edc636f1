"""The job in one side view, to scale: what stands or shall stand, each part by its state.

One function draws it, in three forms: the sheet with its notes, one for a phone with numbers that a list
under it explains, and one the size of a thumb. Heights are to scale always. Distances are the true ones from
the tower, each thing in its own direction, the crane pad to the left; where they do not fit, a gap is broken
and says what it leaves out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from installs.drafting import Drawing
from installs.drafting.letters import NOTE, TEXT, wrapped
from installs.picture import things
from installs.picture.axis import laid_out
from installs.picture.notes import notes, numbers, thumb_words
from installs.picture.scene import Scene, State
from installs.picture.sheet import SHEET, THUMB, Form, Sheet, drawn_width, tips_of
from installs.picture.states import PartState
from installs.picture.words import described, feet_words, station_at


def job_picture(
    scene: Scene, states: Mapping[str, PartState], form: Form = SHEET, *, title: str, first: str = ""
) -> Drawing:
    """The picture. ``first`` names the step that an empty one waits for. ``px_per_ft`` is its scale."""
    if scene.is_empty:
        return _empty(form, title, first)
    shown = scene if form.has_all else replace(scene, buildings=scene.of_ours)
    left, right = laid_out(
        _spans(shown, form, on_left=True),
        _spans(shown, form, on_left=False),
        most_scale=form.sky_px / scene.top_ft,
        width_px=form.width_px - form.left_px,
        kept_px=form.kept_px,
    )
    said = "" if form is THUMB else described(scene, states)  # beside a thumb the page says it
    sheet = Sheet(Drawing(title, left.scale, description=said), shown, states, form, left, right)
    _draw(sheet)
    return sheet.d


def _spans(scene: Scene, form: Form, *, on_left: bool) -> list[tuple[float, float]]:
    """What must be drawn whole on a side."""
    half = scene.pad.side_ft / 2 if scene.pad else 3.0
    spans = [(0.0, half)]
    if on_left:
        if scene.crane_pad:
            off, side = scene.crane_pad.distance_ft, scene.crane_pad.side_ft / 2
            spans.append((max(0.0, off - side), off + side))
        return spans
    spans += [(thing.distance_ft, thing.distance_ft + drawn_width(thing, form)) for thing in scene.buildings]
    if scene.trench:
        end = scene.trench.distance_ft
        spans.append((max(0.0, end - 3), end + 5))
    if scene.line:
        spans.append((max(0.0, scene.line.distance_ft - 5), scene.line.distance_ft + 9))
    return spans


def _draw(sheet: Sheet) -> None:
    d, scene = sheet.d, sheet.scene
    _ground(sheet)
    if scene.trench:
        half = scene.pad.side_ft / 2 if scene.pad else 0.0
        things.trench(
            d, (sheet.x(half), sheet.x(scene.trench.distance_ft)), scene.trench, _state(sheet, "trench")
        )
    if scene.crane_pad:
        off, side = scene.crane_pad.distance_ft, scene.crane_pad.side_ft / 2
        things.crane_pad(d, sheet.x(-off - side), sheet.x(side - off), _state(sheet, "crane pad"))
    if scene.pad:
        things.pad(d, scene.pad, sheet.states["pad"])
    for thing in reversed(scene.buildings):
        begin = sheet.x(thing.distance_ft)
        things.building(d, begin, drawn_width(thing, sheet.form), thing, is_small=sheet.form is THUMB)
    cabinet = station_at(scene)
    if cabinet is not None:
        things.station(d, sheet.x(cabinet), _state(sheet, "station"), is_small=sheet.form is THUMB)
    if scene.line:
        at = sheet.x(scene.line.distance_ft)
        things.utility_line(d, at, sheet.x(scene.line.distance_ft + 9), scene.line, _state(sheet, "line"))
    if scene.tower:
        things.tower(d, scene.tower, _state(sheet, "tower"))
    else:
        d.line((0, 0), (0, scene.top_ft if scene.head else 12), weight="thin", dash="axis", layer="axis")
    if scene.head:
        things.head(d, scene.head, _state(sheet, "turbine"))
    _breaks(sheet)
    _marks(sheet)
    if sheet.form.has_dimensions:
        _dimensions(sheet)
    if sheet.form.has_notes:
        notes(sheet)
    elif sheet.form.has_numbers:
        numbers(sheet)
    elif sheet.form is THUMB:
        thumb_words(sheet)


def _state(sheet: Sheet, key: str) -> State:
    return sheet.states[key].state


def _ground(sheet: Sheet) -> None:
    ends = -sheet.left.width_px / sheet.scale, sheet.right.width_px / sheet.scale
    sheet.d.line((ends[0], 0, -10, 0), (ends[1], 0, 10, 0), weight="medium", layer="grade")


def _breaks(sheet: Sheet) -> None:
    """A gap of the ground, and how many feet of it are not drawn."""
    is_thumb = sheet.form is THUMB
    for side, sign in ((sheet.left, -1), (sheet.right, 1)):
        for each in side.breaks:
            middle = sign * (side.px(each.from_ft) + each.drawn_px / 2) / sheet.scale
            half = 2.5 if is_thumb else 6
            up, down = (5, 6) if is_thumb else (14, max(14, sheet.low_px + 6) if each.from_ft < 1 else 16)
            corners = [(middle, 0, x, y) for x, y in ((-half, up), (half, up), (half, -down), (-half, -down))]
            sheet.d.polygon(corners, weight="", fill="blank", layer="break")
            for x in (-half, half):
                if is_thumb:
                    sheet.d.line((middle, 0, x + 1.5, up), (middle, 0, x - 1.5, -down), weight="thin")
                else:
                    things.broken(sheet.d, (middle, 0, x, up), (middle, 0, x, -down))
            if sheet.form.has_words:
                apart = "\n" if sheet.form.kept_px < 100 else " "
                words = f"{each.left_out_ft:,.0f} ft{apart}left out"
                sheet.d.text((middle, 0, 0, -down - 13), words, size=NOTE, anchor="middle", ink="pencil")


def _marks(sheet: Sheet) -> None:
    """The number of the deviation that holds a part, in its triangle beside it."""
    for key, tip in tips_of(sheet).items():
        state = sheet.states[key]
        if state.state is State.HELD and state.deviation and sheet.form.has_words:
            at = (tip[0], tip[1], 14, 0)
            if key == "pad" and sheet.scene.pad:  # on it, beside the tower
                at = (sheet.scene.pad.side_ft / 2, 0, 4, 9)
            things.held(sheet.d, at, state.deviation)


def _dimensions(sheet: Sheet) -> None:
    """Heights of hub and blade tip, else of the tower, in lanes left of everything."""
    scene, d = sheet.scene, sheet.d
    foot = -sheet.left.width_px / sheet.scale
    heights = []
    if scene.head:
        ahead = -scene.head.ahead_ft
        heights = [("hub", ahead, scene.head.hub_ft)]
        if sheet.form.has_notes:
            heights.append(("tip", ahead, scene.head.tip_ft))
    elif scene.tower:
        heights = [("top", 0.0, scene.tower.top_ft)]
    for lane, (name, x, feet) in enumerate(heights):
        line = sheet.left.width_px + 18 + 24 * lane
        # from the sheet's edge, so that the extension at grade is the ground itself
        off = -(line + min(foot, x) * sheet.scale)
        d.dimension(
            (foot, 0), (x, feet), off_px=off, along="vertical", text=f"{name} {feet_words(feet)}", size=NOTE
        )


def _empty(form: Form, title: str, first: str) -> Drawing:
    """A frame with the ground and an axis, and the step that begins the job."""
    words = f"Nothing is drawn yet. {first}".strip()
    d = Drawing(title, 1.0, description=words)
    high = form.sky_px * (0.6 if form.has_notes else 0.9)
    d.rectangle(0, -24 if form is not THUMB else -12, form.width_px, high + 24, weight="thin", layer="frame")
    d.line((8, 0), (form.width_px - 8, 0), weight="thin", dash="tentative", ink="pencil", layer="grade")
    axis = form.width_px / 5
    d.line((axis, 0), (axis, high * 0.8), weight="thin", dash="axis", ink="pencil", layer="axis")
    if form is THUMB:
        return d.text((axis + 8, high * 0.4), "not drawn", size=NOTE)
    if not form.has_words:
        return d
    lines = wrapped(words, form.width_px - axis - 30, TEXT)
    return d.text((axis + 16, high * 0.55), "\n".join(lines), size=TEXT)
