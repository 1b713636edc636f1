"""From the draft's figures to the checked pad. Milliseconds; nothing is stored."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from installs.foundation.anchors import anchorage, feet_apart_in, nuts
from installs.foundation.facts import FoundationFacts, LegFacts, LoadFacts, PedestalFacts, proposed_plate_in
from installs.foundation.models import FoundationDesign
from installs.foundation.tower import BASES, Given, tower_of
from sitecalc.cases import drawn_from, worked
from sitecalc.checks import Check, worst_first
from sitecalc.foundation.anchor_feet import foot_size
from sitecalc.foundation.bar_schedule import EdgeBars, PedestalBars, ScheduleCase, bar_schedule
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.margins import MarginCase, Margins, margins
from sitecalc.foundation.pad import PadCase, WindBearing, bearings, combinations
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.rebar import MatCase, rebar_list
from sitecalc.foundation.search import SearchCase, SearchResult, smallest_pad
from sitecalc.foundation.stability import check_pad
from sitecalc.foundation.strength_case import StrengthCase
from sitecalc.foundation.tables import anchor_bolts, bars
from sitecalc.foundation.take_off import (
    ROOM,
    AnchorCase,
    ConcreteCase,
    anchor_list,
    anchor_room,
    concrete,
)
from sitecalc.inputs import InputError

LEGS = {word: legs for legs, word in BASES.items()}


@dataclass(frozen=True)
class Review:
    checks: tuple[Check, ...]
    results: FoundationFacts
    pad: PadCase
    strength: StrengthCase


def review(draft: FoundationDesign) -> Review:
    """Checks and facts of a draft's figures. InputError names the figure."""
    return _reviewed(draft.figures, tower_of(draft.job))


def smallest(draft: FoundationDesign, reviewed: Review) -> SearchResult:
    """What would pass, for the legs and anchor bolts that this draft has."""
    figures = draft.figures
    legs = reviewed.results.legs
    reach = 2 * reach_ft(legs) + 1.0 if legs.spacing_ft else 4.0
    above = reviewed.results.top_of_concrete_ft - reviewed.results.thickness_ft
    deep = (figures.embedment_in + 2.5 + figures.cover_lower_in) / 12 - above
    return _smallest_pad(
        SearchCase(
            pad=reviewed.pad,
            least_side_ft=min(60.0, max(4.0, reach)),
            least_thickness_ft=min(10.0, max(1.5, deep)),
            strength=reviewed.strength,
        )
    )


def margins_of(reviewed: Review) -> Margins:
    """How far the ground, the water and the wind are from failing the pad."""
    return _margins(MarginCase(reviewed.pad, reviewed.strength))


@lru_cache(maxsize=64)
def winds_of(pad: PadCase) -> tuple[WindBearing, ...]:
    """How the pad bears under each wind, the prevailing one first; nothing while the loads are not known."""
    pair = combinations(pad)
    return bearings(pad, pair).by_wind() if pair else ()


# the same case is searched once
_smallest_pad, _margins = lru_cache(maxsize=64)(smallest_pad), lru_cache(maxsize=64)(margins)


def _reviewed(figures: FoundationFigures, given: Given | None) -> Review:
    loads, legs = _loads(figures, given), _legs(figures, given)
    standing = pedestal_of(figures)
    pad, mats = pad_case(figures, loads, standing), _mat_case(figures)
    found, listed = worked(check_pad, pad), worked(rebar_list, mats)
    schedule = worked(bar_schedule, _schedule_case(figures, mats, standing))
    poured = worked(
        concrete,
        drawn_from(
            ConcreteCase,
            figures,
            other_side_ft=figures.second_side_ft,
            pedestals_ft3=standing.volume_ft3 if standing else 0.0,
        ),
    )
    anchors, anchor_check = _anchors(figures, legs, standing)
    anchored = anchorage(figures, loads, legs, standing)
    facts = FoundationFacts(
        side_ft=pad.side_ft,
        across_ft=pad.across_ft,
        thickness_ft=pad.thickness_ft,
        top_above_grade_ft=pad.top_above_grade_ft,
        bottom_ft=pad.bottom_ft,
        fc_psi=figures.fc_psi,
        volume_ft3=poured.volume_ft3,
        volume_yd3=poured.net_yd3,
        form_ft2=poured.form_ft2,
        excavation_yd3=poured.excavation_yd3,
        loads=loads,
        legs=legs,
        allowable_psf=found.allowable_psf,
        governing=found.governing,
        lifting=found.lifting,
        rose=found.rose,
        marks=schedule.marks,
        steel_lb=schedule.weight_lb,
        chairs=sum(chairs.count for chairs in schedule.chairs),
        tie_wire_lb=listed.tie_wire_lb,
        anchors=anchors,
        outline=figures.outline,
        pedestal=standing,
        pieces=schedule.pieces,
        bar_notes=schedule.notes,
        bolts=anchored.bolts,
        leg_extremes=anchored.legs,
        anchor_said=anchored.said,
    )
    strength = _strength_case(figures, pad, mats, legs)
    held = worked(check_strength, strength)
    checks = worst_first([*found.checks, *held.checks, anchor_check, *anchored.checks, *nuts(figures)])
    return Review(tuple(checks), facts, pad, strength)


def pedestal_of(figures: FoundationFigures) -> PedestalFacts | None:
    """InputError where one is wanted and its size is not said, or where it stands past the pad's edge."""
    if not figures.pedestal:
        return None
    for name in ("pedestal_side_ft", "pedestal_height_ft"):
        if getattr(figures, name) is None:
            raise InputError(name, "is not given, and a pedestal is wanted.")
    assert figures.pedestal_side_ft is not None and figures.pedestal_height_ft is not None
    if figures.pedestal_side_ft > min(figures.side_ft, figures.second_side_ft or figures.side_ft):
        raise InputError("pedestal_side_ft", "is more than the pad's side.")
    return PedestalFacts(figures.pedestal, figures.pedestal_side_ft, figures.pedestal_height_ft)


def _own_or_given(figures: FoundationFigures, given: Given | None, name: str) -> Any:
    own = getattr(figures, name)
    if own not in (None, ""):
        return own
    return getattr(given, name) if given else own


def _loads(figures: FoundationFigures, given: Given | None) -> LoadFacts:
    """Moment, shear and their kind go together: a typed moment is never joined with the tower's kind."""
    wind = ("moment_kip_ft", "shear_kip", "load_kind")
    typed = [name for name in wind if getattr(figures, name) not in (None, "")]
    source = figures if typed or given is None else given
    moment, shear, kind = (getattr(source, name) for name in wind)
    taken = "the schedule" if typed or given is None else given.source
    return LoadFacts(
        dead_kip=_own_or_given(figures, given, "dead_kip"),
        moment_kip_ft=moment,
        shear_kip=shear,
        kind=kind,
        source=taken,
    )


def _legs(figures: FoundationFigures, given: Given | None) -> LegFacts:
    base = _own_or_given(figures, given, "base")
    legs, plate = LEGS.get(base), figures.base_plate_side_in
    spacing = _own_or_given(figures, given, "leg_spacing_ft")
    pattern = _own_or_given(figures, given, "anchor_pattern_in")
    over = 12 * spacing if legs == 0 and spacing else pattern
    if plate is not None and over is not None and plate <= over:
        raise InputError("base_plate_side_in", f"is no more than the {over:g} in over its bolts.")
    return LegFacts(
        legs=legs,
        spacing_ft=spacing,
        bolts=_own_or_given(figures, given, "anchor_per_leg"),
        pattern_in=pattern,
        source="the schedule" if figures.base or given is None else given.source,
        plate_in=plate or proposed_plate_in(legs, spacing, pattern),
        plate_proposed=plate is None and legs is not None,
    )


def reach_ft(legs: LegFacts) -> float:
    """From the middle of the pad to the outside of a base plate, square to a side."""
    if legs.spacing_ft is None:
        return 0.0
    if legs.legs == 0:
        return legs.plate_side_in / 24
    # three legs stand on a triangle, one corner spacing / sqrt(3) from its middle
    out = legs.spacing_ft / 3**0.5 if legs.legs == 3 else legs.spacing_ft / 2
    return out + legs.plate_side_in / 24


def pad_case(figures: FoundationFigures, loads: LoadFacts, standing: PedestalFacts | None) -> PadCase:
    """What bears on the ground: of a draft, and of a release by its frozen loads."""
    pad: PadCase = drawn_from(
        PadCase,
        figures,
        other_side_ft=figures.second_side_ft,
        dead_kip=loads.dead_kip,
        moment_kip_ft=loads.moment_kip_ft,
        shear_kip=loads.shear_kip,
        kind=loads.kind or None,
        pedestal_side_ft=standing.side_ft if standing else None,
        pedestal_height_ft=standing.height_ft if standing else None,
    )
    return pad


def _mat_case(figures: FoundationFigures) -> MatCase:
    square = figures.outline == "rectangle"
    mats: MatCase = drawn_from(
        MatCase,
        figures,
        other_side_ft=figures.second_side_ft,
        other_count=figures.bars_other if square else None,
        upper_other_count=figures.upper_bars_other if square else None,
    )
    return mats


def _strength_case(figures: FoundationFigures, pad: PadCase, mats: MatCase, legs: LegFacts) -> StrengthCase:
    """The verticals of a pedestal are its dowels: they stand on the lower mat."""
    foot = foot_size(
        figures.anchor_foot, anchor_bolts()[figures.anchor_size].diameter_in, figures.anchor_plate_in
    )
    dowels = {} if figures.pedestal else {"dowel_size": None, "dowels": None}
    strength: StrengthCase = drawn_from(
        StrengthCase,
        figures,
        pad=pad,
        mats=mats,
        legs=legs.legs,
        leg_spacing_ft=legs.spacing_ft,
        foot_in=(foot.side_in, foot.thick_in) if foot else (0.0, 0.0),
        feet=legs.bolts or 1,
        feet_apart_in=feet_apart_in(legs),
        edition=figures.concrete_code,
        **dowels,
    )
    return strength


def _schedule_case(figures: FoundationFigures, mats: MatCase, standing: PedestalFacts | None) -> ScheduleCase:
    pedestals = edge = None
    if standing is not None:
        pedestals = drawn_from(PedestalBars, figures, count=1)
    if figures.edge_bar_size:
        edge = drawn_from(EdgeBars, figures)
    return ScheduleCase(mats, pedestals, edge)


def _anchors(
    figures: FoundationFigures, legs: LegFacts, standing: PedestalFacts | None
) -> tuple[tuple[Any, ...], Check]:
    """The list of anchor bolts and whether they fit; nothing while the tower's base is not known."""
    if legs.legs is None or legs.spacing_ft is None or legs.bolts is None:
        return (), ROOM.open(
            "Legs, their spacing and bolts are given neither here nor by the tower's design."
        )
    if 2 * reach_ft(legs) > min(figures.side_ft, figures.other_side_ft or figures.side_ft):
        raise InputError("leg_spacing_ft", "puts the base plates past the edge of the pad.")
    if standing is not None and 2 * reach_ft(legs) > standing.side_ft:
        raise InputError(
            "pedestal_side_ft", f"is less than the {2 * reach_ft(legs):.1f} ft of the base plates."
        )
    case: AnchorCase = drawn_from(AnchorCase, figures, legs=max(1, legs.legs), per_leg=legs.bolts)
    deep = figures.thickness_ft + (standing.height_ft if standing else 0.0)
    room = anchor_room(case, deep, figures.cover_lower_in, bars()[figures.bar_size].diameter_in)
    return worked(anchor_list, case).lines, room
