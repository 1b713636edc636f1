"""What each leg and bolt carries, with the wind from every direction.

A rigid base turns about its middle: a leg lifts with M y / sum(y^2) - P / n, and each takes its even share of
shear and torsion. Prying of the base plate is left to its maker.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sitecalc.checks import Step
from sitecalc.formula import Formula
from sitecalc.foundation.anchor_layout import AnchorLayout, Bolt, Leg, bolts, legs
from sitecalc.foundation.loads import StrengthLoad, require_strength
from sitecalc.foundation.ring import Floats

STEP_DEG = 5
PULLED = Formula("N", "uplift", "12*M*y/(n*r**2/2) - P/n", "kip")
SHARE = Formula("Nua", "share of a bolt", "p*N/b", "kip")
_SAME = 1e-9


@dataclass(frozen=True, kw_only=True)
class Blows:
    """Every wind under every combination, a row each; a column for every bolt.

    ``loads`` and ``from_deg`` say what a row is. Kip; tension is positive, shear by its parts to the east and
    north.
    """

    standing: tuple[Bolt, ...]
    loads: tuple[StrengthLoad, ...]
    from_deg: tuple[float, ...]
    tension: Floats
    east: Floats
    north: Floats

    @cached_property
    def shear(self) -> Floats:
        return np.hypot(self.east, self.north)


@dataclass(frozen=True, kw_only=True)
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


def blows(layout: AnchorLayout, loads: Iterable[StrengthLoad]) -> Blows:
    """Every direction under every combination; one without wind once."""
    each = tuple(loads)
    require_strength(each)
    standing, winds = bolts(layout), directions(layout)
    rows = [(load, deg) for load in each for deg in (winds[:1] if _calm(load) else winds)]
    from_deg = tuple(deg for _load, deg in rows)
    of_load = tuple(load for load, _deg in rows)
    if layout.legs == 1:
        tension, east, north = _shared(standing, of_load, from_deg)
    else:
        stood_on = legs(layout)
        names = [leg.name for leg in stood_on]
        on = [names.index(bolt.leg) for bolt in standing]
        tension, east, north = (force[:, on] / layout.bolts for force in _shared(stood_on, of_load, from_deg))
    return Blows(standing=standing, loads=of_load, from_deg=from_deg, tension=tension, east=east, north=north)


def _calm(load: StrengthLoad) -> bool:
    return load.moment_kip_ft == 0 and load.shear_kip == 0 and load.torsion_kip_ft == 0


def _shared(
    spots: Sequence[Bolt] | Sequence[Leg], loads: Sequence[StrengthLoad], from_deg: Sequence[float]
) -> tuple[Floats, Floats, Floats]:
    """(tension, east, north) of spots evenly round a middle: sum(y^2) is n r^2 / 2 for three or more and any
    turn."""
    n, radius = len(spots), math.hypot(spots[0].x_in, spots[0].y_in)
    x, y = (np.array(at) for at in zip(*((s.x_in, s.y_in) for s in spots), strict=True))
    bearing = np.radians(from_deg)[:, None]
    east, north = -np.sin(bearing), -np.cos(bearing)
    vertical, moment, shear, torsion = (
        np.array(part)[:, None]
        for part in zip(
            *((w.vertical_kip, w.moment_kip_ft * 12, w.shear_kip, w.torsion_kip_ft * 12) for w in loads),
            strict=True,
        )
    )
    lee, turn = x * east + y * north, torsion / (n * radius**2)
    tension = -moment * lee / (n * radius**2 / 2) - vertical / n
    return tension, shear * east / n - turn * y, shear * north / n + turn * x


def pull_steps(layout: AnchorLayout, found: Blows, row: int, column: int, prying: float) -> tuple[Step, ...]:
    """What one bolt is pulled with in one wind, kip, by statics of a rigid base: its share of the leg's."""
    bolt, load = found.standing[column], found.loads[row]
    spots: Sequence[Bolt] | Sequence[Leg] = bolts(layout) if layout.legs == 1 else legs(layout)
    spot = bolt if layout.legs == 1 else next(leg for leg in legs(layout) if leg.name == bolt.leg)
    wind = math.radians(found.from_deg[row])
    numbers = {
        "M": load.moment_kip_ft,
        "y": spot.x_in * math.sin(wind) + spot.y_in * math.cos(wind),
        "n": len(spots),
        "r": math.hypot(spot.x_in, spot.y_in),
        "P": load.vertical_kip,
    }
    if layout.legs == 1:
        pulled = PULLED.step_of(f"bolt {bolt.mark}, y toward the wind, r of the bolt circle", **numbers)
        share = SHARE.step_of("times the maker's prying", p=prying, N=pulled.value, b=1)
    else:
        pulled = PULLED.step_of(f"leg {bolt.leg}, y toward the wind, r of the legs' circle", **numbers)
        share = SHARE.step_of(
            "a bolt's even share, times the maker's prying", p=prying, N=pulled.value, b=layout.bolts
        )
    return (pulled, share)


def both_turns(loads: Iterable[StrengthLoad]) -> tuple[StrengthLoad, ...]:
    """Torsion may turn either way: each load with torsion stands for two."""
    found = []
    for load in loads:
        found.append(load)
        if load.torsion_kip_ft:
            found.append(
                StrengthLoad(
                    name=load.name,
                    vertical_kip=load.vertical_kip,
                    moment_kip_ft=load.moment_kip_ft,
                    shear_kip=load.shear_kip,
                    torsion_kip_ft=-load.torsion_kip_ft,
                    dead_factor=load.dead_factor,
                )
            )
    return tuple(found)


def extremes(layout: AnchorLayout, loads: Iterable[StrengthLoad]) -> tuple[LegExtreme, ...]:
    """The most of every leg, or of every bolt of a ring, over all winds and combinations, kip.

    A rigid base: M y / sum(y^2) - P / n. StrengthLoads only; TypeError for service loads.
    """
    found = blows(layout, both_turns(loads))
    if layout.legs == 1:
        return tuple(_extreme(found, bolt, [i]) for i, bolt in enumerate(found.standing))
    return tuple(
        _extreme(found, leg, [i for i, bolt in enumerate(found.standing) if bolt.leg == leg.name])
        for leg in legs(layout)
    )


def _extreme(found: Blows, spot: Bolt | Leg, columns: list[int]) -> LegExtreme:
    tension = found.tension[:, columns].sum(axis=1)
    uplift, uplift_from = _most(tension, found.from_deg)
    compression, compression_from = _most(-tension, found.from_deg)
    shear = max(0.0, float(found.shear[:, columns].sum(axis=1).max()))
    return LegExtreme(
        name=spot.name if isinstance(spot, Leg) else spot.mark,
        toward_deg=spot.bearing_deg,
        uplift_kip=uplift,
        uplift_from_deg=uplift_from,
        compression_kip=compression,
        compression_from_deg=compression_from,
        shear_kip=shear,
    )


def _most(forces: Floats, from_deg: Sequence[float]) -> tuple[float, float]:
    """(greatest above 0, wind of the first that is as great)."""
    most = float(forces.max())
    if most <= _SAME:
        return 0.0, 0.0
    return most, from_deg[int(np.argmax(forces >= most - _SAME))]
