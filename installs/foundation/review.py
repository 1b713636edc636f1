"""From the draft's figures to the checked pad. Milliseconds; nothing is stored."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from installs.foundation.anchors import anchorage, nuts
from installs.foundation.facts import FoundationFacts, LegFacts, LoadFacts, PedestalFacts
from installs.foundation.models import FoundationDesign
from installs.foundation.tower import BASES, Given, tower_of
from sitecalc.checks import Check, Known, not_checked, worst_first
from sitecalc.foundation.bar_schedule import EdgeBars, PedestalBars, ScheduleCase, bar_schedule
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.rebar import MatCase, rebar_list
from sitecalc.foundation.search import SearchCase, SearchResult, smallest_pad
from sitecalc.foundation.stability import check_pad
from sitecalc.foundation.strength_case import StrengthCase
from sitecalc.foundation.tables import bars
from sitecalc.foundation.take_off import AnchorCase, ConcreteCase, anchor_list, anchor_room, concrete
from sitecalc.inputs import InputError

LEGS = {word: legs for legs, word in BASES.items()}
PLATE_PAST_BOLTS_IN = 3.0  # a base plate reaches about so far past its bolts

# fields of the calculations, by the draft's field where an error is shown
_FIELDS = {
    "size": "bar_size",
    "count": "bars",
    "kind": "load_kind",
    "contact_required": "contact_required_pct",
    "per_leg": "anchor_per_leg",
    "plate_in": "anchor_plate_in",
    "other_count": "bars_other",
    "upper_size": "upper_bar_size",
    "upper_count": "upper_bars",
    "upper_other_count": "upper_bars_other",
    "ends": "bar_ends",
    "staggered": "laps_staggered",
    "step_in": "outline",
    "mats.cover_lower_in": "cover_lower_in",
    "pedestals.cover_in": "pedestal_side_ft",
    "pedestals.width_in": "pedestal_side_ft",
    "pedestals.tie_size": "tie_size",
    "pedestals.verticals": "pedestal_bars",
}


@dataclass(frozen=True)
class Review:
    checks: tuple[Check, ...]
    results: FoundationFacts
    pad: PadCase
    strength: StrengthCase


def review(draft: FoundationDesign) -> Review:
    """Checks and facts of a figures. InputError names the field of the form."""
    try:
        return _reviewed(draft.figures, tower_of(draft.job))
    except InputError as error:
        raise InputError(_FIELDS.get(error.field, error.field), error.message) from error


def smallest(draft: FoundationDesign, reviewed: Review) -> SearchResult:
    """What would pass, for the legs and anchor bolts that this draft has."""
    figures = draft.figures
    legs = reviewed.results.legs
    reach = 2 * reach_ft(legs) + 1.0 if legs.spacing_ft else 4.0
    above = reviewed.results.top_of_concrete_ft - reviewed.results.thickness_ft
    deep = (figures.embedment_in + 2.5 + figures.cover_lower_in) / 12 - above
    sides = min(60.0, max(4.0, reach)), min(10.0, max(1.5, deep))
    return smallest_pad(SearchCase(reviewed.pad, *sides, reviewed.strength))


def _reviewed(figures: FoundationFigures, given: Given | None) -> Review:
    loads, legs = _loads(figures, given), _legs(figures, given)
    standing = pedestal_of(figures)
    pad, mats = _pad_case(figures, loads, standing), _mat_case(figures)
    found, listed = check_pad(pad), rebar_list(mats)
    schedule = bar_schedule(_schedule_case(figures, mats, standing))
    poured = concrete(
        ConcreteCase(
            side_ft=figures.side_ft,
            thickness_ft=figures.thickness_ft,
            other_side_ft=_other_side_ft(figures),
            top_above_grade_ft=figures.top_above_grade_ft,
            outline=figures.outline,  # type: ignore[arg-type]
            pedestals_ft3=standing.volume_ft3 if standing else 0.0,
        )
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
        outline=figures.outline,  # type: ignore[arg-type]
        pedestal=standing,
        pieces=schedule.pieces,
        bar_notes=schedule.notes,
        bolts=anchored.bolts,
        leg_extremes=anchored.legs,
        anchor_said=anchored.said,
    )
    strength = _strength_case(figures, pad, mats, legs)
    checks = worst_first(
        [*found.checks, *check_strength(strength).checks, anchor_check, *anchored.checks, *nuts(figures)]
    )
    return Review(tuple(checks), facts, pad, strength)


def pedestal_of(figures: FoundationFigures) -> PedestalFacts | None:
    """InputError where one is wanted and its size is not said, or where it stands past the pad's edge."""
    if not figures.pedestal:
        return None
    for name in ("pedestal_side_ft", "pedestal_height_ft"):
        if getattr(figures, name) is None:
            raise InputError(name, "is not given, and a pedestal is wanted.")
    assert figures.pedestal_side_ft is not None and figures.pedestal_height_ft is not None
    if figures.pedestal_side_ft > min(figures.side_ft, _other_side_ft(figures) or figures.side_ft):
        raise InputError("pedestal_side_ft", "is more than the pad's side.")
    return PedestalFacts(figures.pedestal, figures.pedestal_side_ft, figures.pedestal_height_ft)


def _other_side_ft(figures: FoundationFigures) -> float | None:
    """Only a rectangle has one."""
    return figures.other_side_ft if figures.outline == "rectangle" else None


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
    return LegFacts(
        legs=LEGS.get(base),
        spacing_ft=_own_or_given(figures, given, "leg_spacing_ft"),
        bolts=_own_or_given(figures, given, "anchor_per_leg"),
        pattern_in=_own_or_given(figures, given, "anchor_pattern_in"),
        source="the schedule" if figures.base or given is None else given.source,
    )


def reach_ft(legs: LegFacts) -> float:
    """From the middle of the pad to the outside of a base plate, square to a side."""
    if legs.spacing_ft is None:
        return 0.0
    plate = ((legs.pattern_in or 0.0) / 2 + PLATE_PAST_BOLTS_IN) / 12
    # three legs stand on a triangle, one corner spacing / sqrt(3) from its middle
    out = legs.spacing_ft / 3**0.5 if legs.legs == 3 else legs.spacing_ft / 2
    return out + (PLATE_PAST_BOLTS_IN / 12 if legs.legs == 0 else plate)


def _pad_case(figures: FoundationFigures, loads: LoadFacts, standing: PedestalFacts | None) -> PadCase:
    return PadCase(
        side_ft=figures.side_ft,
        thickness_ft=figures.thickness_ft,
        other_side_ft=_other_side_ft(figures),
        top_above_grade_ft=figures.top_above_grade_ft,
        dead_kip=loads.dead_kip,
        moment_kip_ft=loads.moment_kip_ft,
        shear_kip=loads.shear_kip,
        kind=loads.kind or None,  # type: ignore[arg-type]
        reactions_above_ft=figures.reactions_above_ft,
        soil=figures.soil or None,  # type: ignore[arg-type]
        report_bearing_psf=figures.report_bearing_psf,
        report_friction=figures.report_friction,
        report_cohesion_psf=figures.report_cohesion_psf,
        frost_ft=figures.frost_ft,
        water_ft=figures.water_ft,
        backfill_placed=figures.backfill_placed,
        backfill_pcf=figures.backfill_pcf,
        contact_required=figures.contact_required_pct / 100,
        prevailing=figures.prevailing,  # type: ignore[arg-type]
        outline=figures.outline,  # type: ignore[arg-type]
        pedestal=figures.pedestal or "none",  # type: ignore[arg-type]
        pedestal_side_ft=standing.side_ft if standing else 0.0,
        pedestal_height_ft=standing.height_ft if standing else 0.0,
        wind_strength_factor=figures.wind_strength_factor,
    )


def _mat_case(figures: FoundationFigures) -> MatCase:
    square = figures.outline == "rectangle"
    return MatCase(
        side_ft=figures.side_ft,
        thickness_ft=figures.thickness_ft,
        other_side_ft=_other_side_ft(figures),
        size=figures.bar_size,  # type: ignore[arg-type]
        count=figures.bars,
        cover_lower_in=figures.cover_lower_in,
        cover_upper_in=figures.cover_upper_in,
        cover_side_in=figures.cover_side_in,
        fc_psi=figures.fc_psi,
        stock_ft=figures.stock_ft,
        outline=figures.outline,  # type: ignore[arg-type]
        other_count=figures.bars_other if square else None,
        ends=figures.bar_ends,  # type: ignore[arg-type]
        staggered=figures.laps_staggered,
        upper_size=figures.upper_bar_size or None,  # type: ignore[arg-type]
        upper_count=figures.upper_bars,
        upper_other_count=figures.upper_bars_other if square else None,
    )


def _strength_case(figures: FoundationFigures, pad: PadCase, mats: MatCase, legs: LegFacts) -> StrengthCase:
    """The verticals of a pedestal are its dowels: they stand on the lower mat."""
    plate = None
    if legs.legs == 0 and legs.spacing_ft is not None:
        plate = 12 * legs.spacing_ft + 2 * PLATE_PAST_BOLTS_IN
    elif legs.pattern_in is not None and legs.legs in (3, 4):
        plate = legs.pattern_in + 2 * PLATE_PAST_BOLTS_IN
    return StrengthCase(
        pad=pad,
        mats=mats,
        legs=legs.legs,
        leg_spacing_ft=legs.spacing_ft,
        plate_side_in=plate,
        seismic=figures.seismic_category or None,  # type: ignore[arg-type]
        dowel_size=figures.pedestal_bar_size if figures.pedestal else None,  # type: ignore[arg-type]
        dowels=figures.pedestal_bars if figures.pedestal else None,
        edition=figures.concrete_code,
    )


def _schedule_case(figures: FoundationFigures, mats: MatCase, standing: PedestalFacts | None) -> ScheduleCase:
    pedestals = edge = None
    if standing is not None:
        pedestals = PedestalBars(
            count=1,
            width_in=standing.side_ft * 12,
            height_in=standing.height_ft * 12,
            form=figures.pedestal,  # type: ignore[arg-type]
            size=figures.pedestal_bar_size,  # type: ignore[arg-type]
            verticals=figures.pedestal_bars,
            tie_size=figures.tie_size,  # type: ignore[arg-type]
            tie_spacing_in=figures.tie_spacing_in,
        )
    if figures.edge_bar_size:
        edge = EdgeBars(figures.edge_bar_size, figures.edge_bar_spacing_in)  # type: ignore[arg-type]
    return ScheduleCase(mats, pedestals, edge)


def _anchors(
    figures: FoundationFigures, legs: LegFacts, standing: PedestalFacts | None
) -> tuple[tuple[Any, ...], Check]:
    """The list of anchor bolts and whether they fit; nothing while the tower's base is not known."""
    if legs.legs is None or legs.spacing_ft is None or legs.bolts is None:
        why = "Legs, their spacing and bolts are given neither here nor by the tower's design."
        return (), not_checked(
            "anchor depth",
            "Anchor bolts in the pad",
            why,
            source="bolts end above the lower mat",
            known=Known.PRACTICE,
        )
    if 2 * reach_ft(legs) > min(figures.side_ft, figures.other_side_ft or figures.side_ft):
        raise InputError("leg_spacing_ft", "puts the base plates past the edge of the pad.")
    if standing is not None and 2 * reach_ft(legs) > standing.side_ft:
        raise InputError(
            "pedestal_side_ft", f"is less than the {2 * reach_ft(legs):.1f} ft of the base plates."
        )
    case = AnchorCase(
        legs=max(1, legs.legs),
        per_leg=legs.bolts,
        size=figures.anchor_size,  # type: ignore[arg-type]
        grade=figures.anchor_grade,  # type: ignore[arg-type]
        embedment_in=figures.embedment_in,
        projection_in=figures.projection_in,
        plate_in=figures.anchor_plate_in,
    )
    deep = figures.thickness_ft + (standing.height_ft if standing else 0.0)
    room = anchor_room(case, deep, figures.cover_lower_in, bars()[figures.bar_size].diameter_in)
    return anchor_list(case).lines, room
