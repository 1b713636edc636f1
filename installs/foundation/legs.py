"""Where legs and anchor bolts stand on the pad, in feet from its middle."""

from __future__ import annotations

import math

from installs.foundation.facts import LegFacts
from installs.foundation.review import PLATE_PAST_BOLTS_IN

Place = tuple[float, float]


def leg_places(legs: LegFacts) -> list[Place]:
    """Of a tube the middle; three legs with one to the north; nothing while the tower is not known."""
    if legs.legs is None or not legs.spacing_ft:
        return []
    if legs.legs == 0:
        return [(0.0, 0.0)]
    half = legs.spacing_ft / 2
    if legs.legs == 4:
        return [(-half, -half), (half, -half), (half, half), (-half, half)]
    out = legs.spacing_ft / math.sqrt(3)
    return [(-half, -out / 2), (half, -out / 2), (0.0, out)]


def bolt_places(legs: LegFacts) -> list[Place]:
    """From the leg's own middle: four on a square, other numbers evenly on a circle through it."""
    count = legs.bolts or 0
    if legs.legs == 0 and legs.spacing_ft:
        return _on_circle(count, legs.spacing_ft / 2)
    half = (legs.pattern_in or 0.0) / 24
    if count == 4:
        return [(-half, -half), (half, -half), (half, half), (-half, half)]
    return _on_circle(count, half)


def plate_side_ft(legs: LegFacts) -> float:
    return ((legs.pattern_in or 0.0) + 2 * PLATE_PAST_BOLTS_IN) / 12


def _on_circle(count: int, radius: float) -> list[Place]:
    turns = [math.tau * i / count for i in range(count)]
    return [(radius * math.cos(t), radius * math.sin(t)) for t in turns]
