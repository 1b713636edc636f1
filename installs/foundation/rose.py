"""The rose of bearing: corner pressure by the direction the wind comes from, against the allowable."""

from __future__ import annotations

import math

from installs.drafting import Drawing
from installs.foundation.facts import FoundationFacts
from sitecalc.foundation.words import COMPASS

RING_PX = 72.0
FURTHEST_PX = 88.0  # past that a pressure is drawn to here; its note has the number


def rose(facts: FoundationFacts) -> Drawing | None:
    """None while there is no pressure to show."""
    known = [p.pressure_psf for p in facts.rose if p.pressure_psf is not None]
    if not known or facts.governing is None:
        return None
    d = Drawing("Bearing by wind direction", px_per_ft=1)
    limit = facts.allowable_psf or max(known)
    outer = min(FURTHEST_PX, max(RING_PX, RING_PX * max(known) / limit))
    _ring(d)
    ends = {}
    for point in facts.rose:
        size = (
            FURTHEST_PX
            if point.pressure_psf is None
            else min(FURTHEST_PX, RING_PX * point.pressure_psf / limit)
        )
        turn = math.radians(COMPASS.index(point.wind_from) * 22.5)
        ends[point.wind_from] = size * math.sin(turn), size * math.cos(turn)
    around = [ends[w] for w in COMPASS if w in ends]
    d.polygon(around, "medium", layer="bearing")
    for wind, end in ends.items():
        heavy = wind == facts.governing.wind_from
        d.line((0, 0), end, "over" if heavy else "thin", layer="bearing")
        d.circle(end, radius_px=1.6, weight="", fill="ink", layer="bearing")
    for word, x, y in (("N", 0, 1), ("E", 1, 0), ("S", 0, -1), ("W", -1, 0)):
        d.text((x * (outer + 11), y * (outer + 10) - 4), word, 13, anchor="middle", routed=True)
    return d


def _ring(d: Drawing) -> None:
    """Dashed at the allowable."""
    d.circle((0, 0), RING_PX, weight="medium", dash="tentative", layer="bearing")
