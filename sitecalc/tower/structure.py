"""A tower in sections, foot to top: steel, widths, weights, its equivalent beam and center of gravity."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import ranged_as, same_as
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.tower.beam import Piece, weight_between
from sitecalc.tower.figures import SectionRow, TowerFigures
from sitecalc.tower.words import Kind

STEEL_PCF = 490.0


@dataclass(frozen=True, kw_only=True)
class Section:
    """One section. Widths are leg spacing center to center for lattice, outside diameter for a tube."""

    length_ft: float = same_as(SectionRow, "length_ft", required=True)
    bottom_in: float = same_as(SectionRow, "bottom_in", required=True)
    top_in: float = same_as(SectionRow, "top_in", required=True)
    weight_lb: float | None = same_as(SectionRow, "weight_lb")
    leg_area_in2: float | None = same_as(SectionRow, "leg_area_in2")
    wall_in: float | None = same_as(SectionRow, "wall_in")
    top_wall_in: float | None = ranged_as(
        SectionRow, "wall_in", "tube: wall at the top, where it differs; taken linear between", default=None
    )


@dataclass(frozen=True)
class Tower:
    """A freestanding tower: kind and sections from the foot up."""

    kind: Kind = same_as(TowerFigures, "kind", required=True)
    sections: tuple[Section, ...] = quantity("", "sections from the foot up")
    modulus_ksi: float = quantity(
        "ksi", "Young's modulus of the steel", low=5_000, high=40_000, default=29_000.0
    )

    @property
    def height_ft(self) -> float:
        return sum(section.length_ft for section in self.sections)

    @property
    def legs(self) -> int:
        """3 or 4; a tube has none."""
        return {"lattice, 3 legs": 3, "lattice, 4 legs": 4, "tube": 0}[self.kind]


@dataclass(frozen=True, kw_only=True)
class Weights:
    """What the lift must know. Heights are from the foot."""

    total_lb: float
    center_ft: float
    sections: tuple[tuple[float, float], ...]


def require_tower(tower: Tower) -> None:
    """InputError for what a range cannot say: missing steel, a tower that widens upward or steps outward."""
    require_valid(tower)
    if not tower.sections:
        raise InputError("sections", "are missing; a tower has at least one.")
    for n, section in enumerate(tower.sections):
        name = f"sections[{n}]"
        if tower.kind == "tube":
            _require_wall(section, name)
        elif section.leg_area_in2 is None:
            raise InputError(f"{name}.leg_area_in2", "is missing; the steel area of one leg is wanted.")
        elif section.weight_lb is None:
            raise InputError(
                f"{name}.weight_lb", "is missing; the legs alone are not the weight of a lattice."
            )
        if section.top_in > section.bottom_in:
            raise InputError(f"{name}.top_in", "is wider than the bottom of the section.")
        if n and section.bottom_in > tower.sections[n - 1].top_in * 1.5:
            raise InputError(
                f"{name}.bottom_in", "is more than half wider than the top of the section under it."
            )


def _require_wall(section: Section, name: str) -> None:
    if section.wall_in is None:
        raise InputError(f"{name}.wall_in", "is missing; a tube needs its wall thickness.")
    if 2 * section.wall_in >= section.bottom_in:
        raise InputError(f"{name}.wall_in", "is half the diameter or more.")
    if 2 * (section.top_wall_in or section.wall_in) >= section.top_in:
        raise InputError(f"{name}.top_wall_in", "is half the diameter at the top or more.")


def steel_area_in2(kind: Kind, section: Section, share: float) -> float:
    """Steel area across the section at ``share`` (0 bottom, 1 top) of its length; legs only for a lattice."""
    if kind == "tube":
        outside, wall = _between(section.bottom_in, section.top_in, share), _wall(section, share)
        return math.pi * wall * (outside - wall)
    return (3 if kind == "lattice, 3 legs" else 4) * (section.leg_area_in2 or math.nan)


def second_moment_in4(kind: Kind, section: Section, share: float) -> float:
    """I of the whole cross section about any axis through its middle.

    Four legs on a square of side w: A w^2; three legs on a triangle of side w: A w^2 / 2. The legs' own I
    is left out (under 1 % for legs slender against w), and so is the give of the braces.
    """
    width = _between(section.bottom_in, section.top_in, share)
    if kind == "tube":
        inside = width - 2 * _wall(section, share)
        return math.pi / 64 * (width**4 - inside**4)
    area = section.leg_area_in2 or math.nan
    return area * width**2 * (0.5 if kind == "lattice, 3 legs" else 1.0)


def _wall(section: Section, share: float) -> float:
    wall = section.wall_in or math.nan
    return _between(wall, section.top_wall_in or wall, share)


def _between(bottom: float, top: float, share: float) -> float:
    return bottom + (top - bottom) * share


def beam_pieces(tower: Tower) -> tuple[Piece, ...]:
    """The tower as pieces of beam; a given weight is spread as the steel area, legs only or wall."""
    pieces, foot = [], 0.0
    for section in tower.sections:
        pieces.append(_piece(tower, section, foot))
        foot += section.length_ft
    return tuple(pieces)


def _piece(tower: Tower, section: Section, foot: float) -> Piece:
    def share(z: float) -> float:
        return (z - foot) / section.length_ft

    def stiffness(z: float) -> float:
        return tower.modulus_ksi * 1000 * second_moment_in4(tower.kind, section, share(z)) / 144

    def steel_plf(z: float) -> float:
        return STEEL_PCF / 144 * steel_area_in2(tower.kind, section, share(z))

    plain = Piece(bottom_ft=foot, top_ft=foot + section.length_ft, stiffness=stiffness, weight_plf=steel_plf)
    if section.weight_lb is None:
        return plain
    factor = section.weight_lb / weight_between(plain, plain.bottom_ft, plain.top_ft)
    return Piece(
        bottom_ft=plain.bottom_ft,
        top_ft=plain.top_ft,
        stiffness=stiffness,
        weight_plf=lambda z: factor * steel_plf(z),
    )


def weights(tower: Tower) -> Weights:
    """Weight and center of gravity of each section and of the whole tower, heights from the foot."""
    require_tower(tower)
    sections = []
    for piece in beam_pieces(tower):
        weight = weight_between(piece, piece.bottom_ft, piece.top_ft)
        sections.append((weight, _center(piece)))
    total = sum(weight for weight, _ in sections)
    return Weights(
        total_lb=total, center_ft=sum(w * z for w, z in sections) / total, sections=tuple(sections)
    )


def _center(piece: Piece) -> float:
    """Center of gravity of one piece, by thin slices: exact to a hair for a linear taper."""
    slices = 40
    step = (piece.top_ft - piece.bottom_ft) / slices
    heights = [piece.bottom_ft + step * (n + 0.5) for n in range(slices)]
    loads = [weight_between(piece, z - step / 2, z + step / 2) for z in heights]
    return sum(w * z for w, z in zip(loads, heights, strict=True)) / sum(loads)
