"""What the picture is put together on: its form, both sides of the tower, and where its parts are meant."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from installs.drafting import Drawing
from installs.picture.axis import Side
from installs.picture.scene import Scene, Thing
from installs.picture.states import PartState
from installs.picture.words import station_at


@dataclass(frozen=True, kw_only=True)
class Form:
    """Sizes in px on the paper. ``kept_px`` is what is drawn of a gap that is broken."""

    width_px: float
    sky_px: float
    left_px: float
    kept_px: float
    has_notes: bool = False
    has_numbers: bool = False
    widest_ft: float  # of a building; a wider one ends in a break line
    has_all: bool = False  # buildings that have nothing of ours too
    has_dimensions: bool = True
    has_words: bool = True  # of its own; without them the page says all of it


SHEET = Form(width_px=1290, sky_px=250, left_px=92, kept_px=108, widest_ft=80.0, has_notes=True, has_all=True)
PHONE = Form(width_px=342, sky_px=230, left_px=34, kept_px=50, widest_ft=30.0, has_numbers=True)
PAPER = Form(
    width_px=690, sky_px=180, left_px=34, kept_px=108, widest_ft=60.0, has_numbers=True, has_all=True
)
# a title sheet is full: low enough for its tables to stay on the first page
TITLE = replace(PAPER, sky_px=112)
# outdoors no word is smaller than the page's own: they all stand beside it
CARD = replace(PHONE, left_px=0, has_numbers=False, has_dimensions=False, has_words=False)
THUMB = Form(
    width_px=150, sky_px=72, left_px=0, kept_px=9, widest_ft=24.0, has_dimensions=False, has_words=False
)
NOT_GIVEN_WIDE_FT = 16.0


@dataclass(frozen=True)
class Sheet:
    """What the drawing is put together on, with both sides of the tower's axis."""

    d: Drawing
    scene: Scene
    states: Mapping[str, PartState]
    form: Form
    left: Side
    right: Side

    @property
    def scale(self) -> float:
        return self.d.px_per_ft

    def x(self, feet: float) -> float:
        """Where a distance is drawn; to the left of the tower below 0."""
        side = self.right if feet >= 0 else self.left
        drawn = side.px(abs(feet)) / self.scale
        return drawn if feet >= 0 else -drawn

    @property
    def low_px(self) -> float:
        """How far what is drawn reaches under grade."""
        scene = self.scene
        deep = [0.0, -scene.pad.bottom_ft if scene.pad else 0.0]
        deep += [scene.trench.cover_ft or 0.0] if scene.trench else []
        deep += [-thing.ground_ft for thing in scene.buildings]
        return max(deep) * self.scale


def drawn_width(thing: Thing, form: Form) -> float:
    return min(NOT_GIVEN_WIDE_FT if thing.width_ft is None else thing.width_ft, form.widest_ft)


def tips_of(sheet: Sheet) -> dict[str, tuple[float, float]]:
    """By part where on the drawing it is meant; of those that are drawn."""
    scene = sheet.scene
    found: dict[str, tuple[float, float]] = {}
    if scene.head:
        found["turbine"] = (-scene.head.ahead_ft / 2, scene.head.hub_ft)
    if scene.tower:
        found["tower"] = (0.0, scene.tower.seat_ft + scene.tower.length_ft * 0.45)
    if scene.crane_pad:
        found["crane pad"] = (sheet.x(-scene.crane_pad.distance_ft), 0.0)
    if scene.pad:
        found["pad"] = (0.0, scene.pad.bottom_ft)
    if scene.trench:
        half = scene.pad.side_ft / 2 if scene.pad else 0.0
        first = next((b for b in sheet.right.breaks if b.from_ft >= half - 1), None)
        end = min(scene.trench.distance_ft, first.from_ft if first else scene.trench.distance_ft)
        if end - half < 6:  # broken right behind the pad: past the break
            half = end = first.to_ft if first else scene.trench.distance_ft
            half -= 4
        found["trench"] = (sheet.x((half + end) / 2), -(scene.trench.cover_ft or 0.0))
    station = station_at(scene)
    if station is not None:
        found["station"] = (sheet.x(station), 0.0)
    if scene.line:
        found["line"] = (sheet.x(scene.line.distance_ft), 0.0)
    return found
