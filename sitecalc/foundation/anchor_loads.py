"""What each leg and bolt carries, with the wind from every direction.

A rigid base turns about its middle: a leg lifts with M y / sum(y^2) - P / n, and each takes its even share of
shear and torsion. Prying of the base plate is left to its maker.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sitecalc.foundation.anchor_layout import AnchorLayout, Bolt, bolts, legs
from sitecalc.foundation.loads import StrengthLoad, require_strength

STEP_DEG = 5


@dataclass(frozen=True)
class BoltForce:
    """Tension is positive; shear by its parts to the east and north. Kip."""

    bolt: Bolt
    tension: float
    east: float
    north: float

    @property
    def shear(self) -> float:
        return math.hypot(self.east, self.north)


@dataclass(frozen=True)
class Blow:
    """One combination with the wind from one direction."""

    load: StrengthLoad
    from_deg: float
    forces: tuple[BoltForce, ...]


@dataclass(frozen=True)
class LegExtreme:
    """The most a leg (a tube: a bolt) is lifted, pressed and pushed sideways over all winds, kip."""

    name: str
    toward_deg: float
    uplift_kip: float
    uplift_from_deg: float
    compression_kip: float
    compression_from_deg: float
    shear_kip: float


def directions(layout: AnchorLayout) -> tuple[float, ...]:
    """Every 5 degrees, and exactly those where a leg or bolt is pulled or pushed most.

    That is along and square to the line from the middle to it (square: where wind and torsion add), and half
    way between neighbors, where two pull alike.
    """
    spots = bolts(layout) if layout.legs == 1 else legs(layout)
    exact = {s.bearing_deg + quarter * 90 for s in spots for quarter in range(4)}
    exact |= {b + 180 / len(spots) for b in exact}
    swept = {float(d) for d in range(0, 360, STEP_DEG)}
    return tuple(sorted({round(d % 360, 6) % 360 for d in exact | swept}))


def blows(layout: AnchorLayout, loads: Iterable[StrengthLoad]) -> Iterator[Blow]:
    """Every direction under every combination; one without wind once."""
    loads = tuple(loads)
    require_strength(loads)
    standing, stood_on = bolts(layout), legs(layout)
    winds = directions(layout)
    for load in loads:
        calm = load.moment_kip_ft == 0 and load.shear_kip == 0 and load.torsion_kip_ft == 0
        for from_deg in winds[:1] if calm else winds:
            if layout.legs == 1:
                forces = _ring(standing, load, from_deg)
            else:
                share = _ring(
                    tuple(Bolt(leg.name, leg.name, leg.x_in, leg.y_in) for leg in stood_on), load, from_deg
                )
                forces = tuple(_split(standing, share, layout.bolts))
            yield Blow(load, from_deg, forces)


def _ring(spots: tuple[Bolt, ...], load: StrengthLoad, from_deg: float) -> tuple[BoltForce, ...]:
    """Forces of spots evenly round a middle: sum(y^2) is n r^2 / 2 for three or more and any turn."""
    n, radius = len(spots), spots[0].radius_in
    bearing = math.radians(from_deg)
    east, north = -math.sin(bearing), -math.cos(bearing)
    moment, torsion = load.moment_kip_ft * 12, load.torsion_kip_ft * 12
    found = []
    for s in spots:
        lee = s.x_in * east + s.y_in * north
        tension = -moment * lee / (n * radius**2 / 2) - load.vertical_kip / n
        turn = torsion / (n * radius**2)
        found.append(
            BoltForce(
                s,
                tension,
                load.shear_kip * east / n - turn * s.y_in,
                load.shear_kip * north / n + turn * s.x_in,
            )
        )
    return tuple(found)


def _split(standing: tuple[Bolt, ...], share: tuple[BoltForce, ...], count: int) -> Iterator[BoltForce]:
    by_leg = {force.bolt.leg: force for force in share}
    for bolt in standing:
        leg = by_leg[bolt.leg]
        yield BoltForce(bolt, leg.tension / count, leg.east / count, leg.north / count)


def both_turns(loads: Iterable[StrengthLoad]) -> tuple[StrengthLoad, ...]:
    """Torsion may turn either way: each load with torsion stands for two."""
    found = []
    for load in loads:
        found.append(load)
        if load.torsion_kip_ft:
            found.append(
                StrengthLoad(
                    load.name,
                    load.vertical_kip,
                    load.moment_kip_ft,
                    load.shear_kip,
                    -load.torsion_kip_ft,
                    load.dead_factor,
                )
            )
    return tuple(found)


def extremes(layout: AnchorLayout, loads: Iterable[StrengthLoad]) -> tuple[LegExtreme, ...]:
    """The most of every leg, or of every bolt of a ring."""
    most: dict[str, list[float]] = {}
    for blow in blows(layout, both_turns(loads)):
        for name, (tension, shear) in _by_leg(layout, blow).items():
            found = most.setdefault(name, [0.0, 0.0, 0.0, 0.0, 0.0])
            if tension > found[0] + 1e-9:
                found[0], found[1] = tension, blow.from_deg
            if -tension > found[2] + 1e-9:
                found[2], found[3] = -tension, blow.from_deg
            found[4] = max(found[4], shear)
    spots = bolts(layout) if layout.legs == 1 else legs(layout)
    names = {s.mark if isinstance(s, Bolt) else s.name: s.bearing_deg for s in spots}
    return tuple(LegExtreme(name, names[name], *found) for name, found in most.items())


def _by_leg(layout: AnchorLayout, blow: Blow) -> dict[str, tuple[float, float]]:
    if layout.legs == 1:
        return {f.bolt.mark: (f.tension, f.shear) for f in blow.forces}
    found: dict[str, tuple[float, float]] = {}
    for f in blow.forces:
        tension, shear = found.get(f.bolt.leg, (0.0, 0.0))
        found[f.bolt.leg] = (tension + f.tension, shear + f.shear)
    return found
