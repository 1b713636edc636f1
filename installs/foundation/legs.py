"""Where legs and anchor bolts stand on the pad, in feet from its middle."""

from __future__ import annotations

from installs.foundation.anchors import bolts_of, layout_of
from installs.foundation.facts import LegFacts
from sitecalc.foundation import anchor_layout

Place = tuple[float, float]


def leg_places(legs: LegFacts) -> list[Place]:
    """Of a tube the middle; three legs with one to the north; nothing while the tower is not known."""
    layout = layout_of(legs)
    return [] if layout is None else [(leg.x_in / 12, leg.y_in / 12) for leg in anchor_layout.legs(layout)]


def bolt_places(legs: LegFacts) -> list[Place]:
    """From the leg's own middle; nothing while it is not known where they stand."""
    layout = bolts_of(legs)
    if layout is None:
        return []
    first = anchor_layout.legs(layout)[0]
    return [
        ((bolt.x_in - first.x_in) / 12, (bolt.y_in - first.y_in) / 12)
        for bolt in anchor_layout.bolts(layout)
        if bolt.leg == first.name
    ]


def plate_side_ft(legs: LegFacts) -> float:
    return legs.plate_side_in / 12
