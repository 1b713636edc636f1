"""Where the anchor bolts stand: legs about the tower's middle, bolts about each leg. x is east, y north."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import ranged_as, same_as
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.words import COMPASS
from sitecalc.inputs import InputError, quantity, require_valid

Pattern = Literal["rectangle", "circle"]
Turned = Literal["square to the pad", "toward the middle"]


@dataclass(frozen=True, kw_only=True)
class AnchorLayout:
    """Legs and their bolts. A tube is one ring of bolts, ``spacing_ft`` across."""

    legs: int = quantity("", "legs of the tower, 3 or 4; 1 for a tube", low=1, high=4, shown_at="base")
    spacing_ft: float = same_as(FoundationFigures, "leg_spacing_ft", required=True)
    bolts: int = same_as(FoundationFigures, "anchor_per_leg", required=True)
    pattern: Pattern = quantity("", "how the bolts of a leg stand", default="rectangle")
    # bolts of a leg stand by it; a bolt that stands alone has none, nor has a ring
    pattern_in: float | None = same_as(FoundationFigures, "anchor_pattern_in", low=1)
    other_pattern_in: float | None = ranged_as(
        FoundationFigures, "anchor_pattern_in", "other side of the rectangle", low=1, default=None
    )
    first_deg: float | None = quantity(
        "deg",
        "bearing of the first leg (of a tube: bolt) from north, clockwise; else N, of four legs NE",
        low=0,
        high=360,
        default=None,
    )
    turned: Turned = quantity("", "how the rectangle of a leg is turned", default="square to the pad")

    @property
    def places_known(self) -> bool:
        """Whether it can be said where every bolt stands."""
        return self.legs == 1 or self.bolts == 1 or self.pattern_in is not None


@dataclass(frozen=True, kw_only=True)
class Leg:
    name: str
    bearing_deg: float
    x_in: float
    y_in: float


@dataclass(frozen=True)
class Bolt:
    mark: str
    leg: str
    x_in: float
    y_in: float

    @property
    def radius_in(self) -> float:
        return math.hypot(self.x_in, self.y_in)

    @property
    def bearing_deg(self) -> float:
        return math.degrees(math.atan2(self.x_in, self.y_in)) % 360


def legs(layout: AnchorLayout) -> tuple[Leg, ...]:
    """Middles of the legs in in from the tower's middle, clockwise from the first; a tube has one, there.

    Legs stand on a circle of radius s / sqrt(3) (three) or s / sqrt(2) (four), s their spacing. InputError
    for two legs.
    """
    require_valid(layout)
    if layout.legs == 2:
        raise InputError("legs", "are 2; a tower stands on 1, 3 or 4.")
    if layout.legs == 1:
        return (Leg(name="", bearing_deg=0.0, x_in=0.0, y_in=0.0),)
    radius = layout.spacing_ft * 12 / (math.sqrt(3) if layout.legs == 3 else math.sqrt(2))
    first = _first(layout)
    found = []
    for i in range(layout.legs):
        bearing = (first + i * 360 / layout.legs) % 360
        x, y = _at(bearing, radius)
        found.append(Leg(name="ABCD"[i], bearing_deg=bearing, x_in=x, y_in=y))
    return tuple(found)


def bolts(layout: AnchorLayout) -> tuple[Bolt, ...]:
    """Every bolt in in from the tower's middle: A1, A2, ... by legs, 1, 2, ... round a tube, clockwise.

    InputError for a ring of fewer than three, for a number that stands on no rectangle, and for bolts whose
    pattern is not given.
    """
    if layout.legs == 1:
        require_valid(layout)
        if layout.bolts < 3:
            raise InputError("bolts", "are fewer than 3; a ring needs 3.")
        radius, first = layout.spacing_ft * 6, _first(layout)
        bearings = (first + i * 360 / layout.bolts for i in range(layout.bolts))
        return tuple(Bolt(str(i + 1), "", *_at(b, radius)) for i, b in enumerate(bearings))
    return tuple(
        Bolt(f"{leg.name}{i + 1}", leg.name, leg.x_in + x, leg.y_in + y)
        for leg in legs(layout)
        for i, (x, y) in enumerate(_group(layout, leg))
    )


def _first(layout: AnchorLayout) -> float:
    if layout.first_deg is not None:
        return layout.first_deg
    return 45.0 if layout.legs == 4 else 0.0


def _at(bearing_deg: float, radius: float) -> tuple[float, float]:
    bearing = math.radians(bearing_deg)
    return radius * math.sin(bearing), radius * math.cos(bearing)


def _group(layout: AnchorLayout, leg: Leg) -> list[tuple[float, float]]:
    """Bolts about a leg's middle, clockwise."""
    if layout.bolts == 1:
        return [(0.0, 0.0)]
    if layout.pattern_in is None:
        raise InputError("pattern_in", "is not given, and the bolts of a leg stand by it.")
    turn = leg.bearing_deg if layout.turned == "toward the middle" else 0.0
    if layout.pattern == "circle":
        step = 360 / layout.bolts
        return [_at(turn + i * step, layout.pattern_in / 2) for i in range(layout.bolts)]
    a, b = layout.pattern_in / 2, (layout.other_pattern_in or layout.pattern_in) / 2
    corners = [(-a, b), (a, b), (a, -b), (-a, -b)]
    by_count: dict[int, list[tuple[float, float]]] = {
        2: [(-a, 0.0), (a, 0.0)],
        4: corners,
        6: [(-a, b), (0.0, b), (a, b), (a, -b), (0.0, -b), (-a, -b)],
        8: [(-a, b), (0.0, b), (a, b), (a, 0.0), (a, -b), (0.0, -b), (-a, -b), (-a, 0.0)],
    }
    if layout.bolts not in by_count:
        raise InputError("bolts", "stand on a rectangle as 1, 2, 4, 6 or 8; say a circle for others.")
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    # clockwise by ``turn``: what pointed north points along the leg's bearing
    return [(x * c + y * s, y * c - x * s) for x, y in by_count[layout.bolts]]


def toward(bearing_deg: float) -> str:
    """Nearest of the 16 winds: 45 is NE."""
    return COMPASS[round(bearing_deg / 22.5) % 16]


def wind_words(from_deg: float) -> str:
    """ "wind from the NW", or by its bearing where it is none of the 16."""
    exact = abs((from_deg + 11.25) % 22.5 - 11.25) < 0.05
    return f"wind from the {toward(from_deg)}" if exact else f"wind from {from_deg % 360:.0f}°"
