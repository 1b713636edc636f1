"""The setting template: where every bolt hole goes, what a foreman tapes, and whether set bolts match it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from sitecalc.cases import same_as
from sitecalc.foundation.anchor_layout import AnchorLayout, Bolt, bolts, legs
from sitecalc.foundation.anchor_nuts import tolerance
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.tables import anchor_bolts
from sitecalc.foundation.words import BoltSize
from sitecalc.inputs import InputError, quantity, require_valid

TEMPLATE_CLEARANCE_IN = 1 / 16  # template holes over the bolt: common practice, no source


@dataclass(frozen=True)
class TemplateCase:
    layout: AnchorLayout = quantity("", "where the bolts stand")
    size: BoltSize = same_as(FoundationFigures, "anchor_size")
    template_hole_in: float | None = quantity(
        "in", "holes of the template, if not 1/16 over the bolt", low=0.5, high=4, default=None
    )
    plate_hole_in: float | None = quantity(
        "in", "holes of the base plate as the tower's maker draws them", low=0.5, high=4, default=None
    )


@dataclass(frozen=True, kw_only=True)
class Hole:
    """From the tower's middle: east, north, radius, bearing from north clockwise; words to 1/32 in."""

    mark: str
    leg: str
    x_in: float
    y_in: float
    radius_in: float
    bearing_deg: float
    x_words: str
    y_words: str
    radius_words: str


@dataclass(frozen=True)
class Tape:
    """A distance to tape, center to center, in words to the sixteenth."""

    what: str
    start: str
    end: str
    length_in: float
    words: str


@dataclass(frozen=True)
class Template:
    """``plate_hole_in`` is None where neither the maker nor the table gives it."""

    holes: tuple[Hole, ...]
    tapes: tuple[Tape, ...]
    template_hole_in: float
    plate_hole_in: float | None
    plate_hole_source: str


def template(case: TemplateCase) -> Template:
    """Where every hole goes, in in from the tower's middle, and the distances to tape, in words.

    Holes of the template 1/16 in over the bolt (common practice), of the plate by the maker or by AISC
    Design Guide 1, 2nd edition, table 2.3. InputError for a hole that does not let the bolt through.
    """
    require_valid(case)
    standing = bolts(case.layout)
    diameter = anchor_bolts()[case.size].diameter_in
    own = case.template_hole_in
    if own is not None and own <= diameter:
        raise InputError("template_hole_in", f"does not let a {case.size} in bolt through.")
    if case.plate_hole_in is not None and case.plate_hole_in <= diameter:
        raise InputError("plate_hole_in", f"does not let a {case.size} in bolt through.")
    plate, source = _plate_hole(case, diameter)
    return Template(
        holes=tuple(_hole(b) for b in standing),
        tapes=tuple(_tapes(case.layout, standing)),
        template_hole_in=diameter + TEMPLATE_CLEARANCE_IN if own is None else own,
        plate_hole_in=plate,
        plate_hole_source=source,
    )


def _plate_hole(case: TemplateCase, diameter: float) -> tuple[float | None, str]:
    if case.plate_hole_in is not None:
        return case.plate_hole_in, "tower's drawing"
    if diameter < 0.75:
        return None, "tower's drawing; not given"
    found = tolerance("plate_hole", diameter)
    return found.tolerance_in, f"{found.known.beside(found.source)}; the tower's drawing decides"


def _hole(bolt: Bolt) -> Hole:
    return Hole(
        mark=bolt.mark,
        leg=bolt.leg,
        x_in=bolt.x_in,
        y_in=bolt.y_in,
        radius_in=bolt.radius_in,
        bearing_deg=bolt.bearing_deg,
        x_words=taped(bolt.x_in, 32),
        y_words=taped(bolt.y_in, 32),
        radius_words=taped(bolt.radius_in, 32),
    )


def _tapes(layout: AnchorLayout, standing: tuple[Bolt, ...]) -> list[Tape]:
    if layout.legs == 1:
        n = len(standing)
        found = [_tape("neighbors", standing[0], standing[1])]
        if n % 2 == 0:
            found += [_tape("across the ring", standing[i], standing[i + n // 2]) for i in range(n // 2)]
        else:
            found += [_tape("nearly across", standing[i], standing[(i + n // 2) % n]) for i in range(n)]
        return found
    found = []
    for one, other in combinations(legs(layout), 2):
        length = math.dist((one.x_in, one.y_in), (other.x_in, other.y_in))
        found.append(Tape("leg to leg, middles", one.name, other.name, length, taped(length)))
        ends = _first(standing, one.name), _first(standing, other.name)
        found.append(_tape("leg to leg, first bolts", *ends))
    for leg in legs(layout):
        own = [b for b in standing if b.leg == leg.name]
        found += [_tape(f"within leg {leg.name}", a, b) for a, b in combinations(own, 2)]
    return found


def _first(standing: tuple[Bolt, ...], leg: str) -> Bolt:
    return next(b for b in standing if b.leg == leg)


def _tape(what: str, a: Bolt, b: Bolt) -> Tape:
    length = math.dist((a.x_in, a.y_in), (b.x_in, b.y_in))
    return Tape(what, a.mark, b.mark, length, taped(length))


def taped(inches: float, parts: int = 16) -> str:
    """ "14 ft 1 11/16 in", "-4 in", "8 1/32 in": to the nearest part of an inch."""
    count = round(abs(inches) * parts)
    feet, rest = divmod(count, 12 * parts)
    whole, part = divmod(rest, parts)
    shared = math.gcd(part, parts)
    fraction = f"{part // shared}/{parts // shared}" if part else ""
    inch = " ".join(word for word in (str(whole) if whole or not fraction else "", fraction) if word)
    sign = "-" if inches < 0 and count else ""
    return f"{sign}{feet} ft {inch} in" if feet else f"{sign}{inch} in"
