"""What a review of the foundation finds, as it is frozen on release and drawn again from the release."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

from sitecalc.foundation.anchor_loads import LegExtreme
from sitecalc.foundation.anchorage import BoltExtreme
from sitecalc.foundation.cutting import Piece
from sitecalc.foundation.pad import BearingCase
from sitecalc.foundation.rebar import BarMark
from sitecalc.foundation.stability import RosePoint
from sitecalc.foundation.take_off import AnchorLine
from sitecalc.foundation.words import Outline
from sitecalc.inputs import build


@dataclass(frozen=True, kw_only=True)
class LoadFacts:
    """At the height where they are stated; None where neither the foundation nor the tower knows."""

    dead_kip: float | None
    moment_kip_ft: float | None
    shear_kip: float | None
    kind: str
    source: str


PLATE_PAST_BOLTS_IN = 3.0


def proposed_plate_in(legs: int | None, spacing_ft: float | None, pattern_in: float | None) -> float | None:
    """Side of a base plate about so far past its bolts, of a tube its outside diameter; None: not known."""
    if legs == 0:
        return None if spacing_ft is None else 12 * spacing_ft + 2 * PLATE_PAST_BOLTS_IN
    return None if pattern_in is None else pattern_in + 2 * PLATE_PAST_BOLTS_IN


@dataclass(frozen=True, kw_only=True)
class LegFacts:
    """``legs`` 0 is a tube, whose ``spacing_ft`` is its bolt circle; None while the tower is not known."""

    legs: int | None
    spacing_ft: float | None
    bolts: int | None
    pattern_in: float | None
    source: str
    # of a release from before it was a figure: None, and not proposed
    plate_in: float | None = None
    plate_proposed: bool = False

    @property
    def plate_side_in(self) -> float:
        """As given or proposed: a plate reaches about 3 in past its bolts (common practice, no source)."""
        return self.plate_in or proposed_plate_in(self.legs, self.spacing_ft, self.pattern_in) or 0.0


@dataclass(frozen=True)
class PedestalFacts:
    """One pedestal in the middle of the pad; ``side_ft`` is the diameter of a round one."""

    form: str
    side_ft: float
    height_ft: float

    @property
    def volume_ft3(self) -> float:
        square = self.side_ft**2
        return (math.pi / 4 * square if self.form == "round" else square) * self.height_ft


@dataclass(frozen=True, kw_only=True)
class BarLine:
    """Marks that lie together, as one line of a short bar list."""

    marks: str
    count: int
    size: str
    longest_ft: float
    shortest_ft: float
    shape: str
    where: str
    weight_lb: float


@dataclass(frozen=True, kw_only=True)
class FoundationFacts:
    """A reviewed foundation. What to order of its concrete is the pour's.

    ``outline`` as in sitecalc.foundation.outline; ``side_ft`` is then the width across flats or the diameter.
    """

    side_ft: float
    across_ft: float
    thickness_ft: float
    top_above_grade_ft: float
    bottom_ft: float
    fc_psi: float
    volume_ft3: float
    volume_yd3: float
    form_ft2: float
    excavation_yd3: float
    loads: LoadFacts
    legs: LegFacts
    allowable_psf: float | None
    governing: BearingCase | None
    lifting: BearingCase | None
    rose: tuple[RosePoint, ...]
    marks: tuple[BarMark, ...]
    steel_lb: float
    chairs: int
    tie_wire_lb: float
    anchors: tuple[AnchorLine, ...]
    outline: Outline = "rectangle"
    pedestal: PedestalFacts | None = None
    pieces: tuple[Piece, ...] = ()
    bar_notes: tuple[str, ...] = ()
    bolts: tuple[BoltExtreme, ...] = ()
    leg_extremes: tuple[LegExtreme, ...] = ()
    anchor_said: tuple[str, ...] = ()

    @property
    def top_of_concrete_ft(self) -> float:
        """Above the underside: where the tower stands."""
        return self.thickness_ft + (self.pedestal.height_ft if self.pedestal else 0.0)


def bar_lines(marks: Sequence[BarMark]) -> list[BarLine]:
    """Stepped bars of one layer in one line: "B1a to B1h", longest and shortest."""
    layers: dict[tuple[str, str, str, str], list[BarMark]] = {}
    for mark in marks:
        layers.setdefault((mark.mat, mark.runs, mark.size, mark.shape), []).append(mark)
    return [
        BarLine(
            marks=like[0].mark if len(like) == 1 else f"{like[0].mark} to {like[-1].mark}",
            count=sum(m.count for m in like),
            size=like[0].size,
            longest_ft=max(m.length_ft for m in like),
            shortest_ft=min(m.length_ft for m in like),
            shape=like[0].shape,
            where=", ".join(filter(None, (like[0].mat, like[0].runs))),
            weight_lb=sum(m.weight_lb for m in like),
        )
        for like in layers.values()
    ]


def released_facts(revision: Any) -> FoundationFacts:
    """The facts of a released foundation, from its frozen results."""
    known = {f.name for f in fields(FoundationFacts)}  # older releases hold more
    results = {name: value for name, value in revision.results.items() if name in known}
    facts: FoundationFacts = build(FoundationFacts, results)
    return facts
