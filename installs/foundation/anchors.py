"""The anchor bolts of a draft in their concrete: by ACI 318-19 chapter 17, wind from every direction."""

from __future__ import annotations

from installs.foundation.facts import LegFacts, LoadFacts, PedestalFacts
from installs.foundation.models import FoundationDesign
from sitecalc.checks import Check, Known, not_checked
from sitecalc.foundation.anchor_case import AnchorageCase, AnchorReinforcement
from sitecalc.foundation.anchor_layout import AnchorLayout
from sitecalc.foundation.anchor_nuts import StackCase, stack
from sitecalc.foundation.anchorage import AnchorageResult, check_anchorage
from sitecalc.foundation.loads import BaseLoads, strength
from sitecalc.inputs import InputError

FIELDS = {
    "side_ft": "side_ft",
    "pedestal_in": "pedestal_side_ft",
    "pedestal_height_in": "pedestal_height_ft",
    "loads": "moment_kip_ft",
    "size": "anchor_size",
    "reinforcement.count": "anchor_bars",
    "reinforcement.away_in": "anchor_bar_away_in",
    "reinforcement.foot_in": "anchor_bar_foot_in",
    "layout.bolts": "anchor_per_leg",
    "layout.spacing_ft": "leg_spacing_ft",
    "layout.pattern_in": "anchor_pattern_in",
    "bolts": "anchor_per_leg",
    "spacing_ft": "leg_spacing_ft",
}
TOP_OF_BARS_IN = 3.0


def layout_of(legs: LegFacts) -> AnchorLayout | None:
    """Four bolts of a leg stand on a square, other numbers evenly on a circle; None while it is not known."""
    if legs.legs is None or not legs.spacing_ft or not legs.bolts:
        return None
    if legs.legs == 0:
        return AnchorLayout(1, legs.spacing_ft, legs.bolts)
    square = legs.bolts in (1, 4)
    return AnchorLayout(
        legs.legs,
        legs.spacing_ft,
        legs.bolts,
        pattern="rectangle" if square else "circle",
        pattern_in=legs.pattern_in or 1.0,
    )


def anchorage(
    draft: FoundationDesign, loads: LoadFacts, legs: LegFacts, standing: PedestalFacts | None
) -> AnchorageResult:
    """One check says why, while legs or loads are not known. InputError names the field of the form."""
    layout = layout_of(legs)
    if layout is None or loads.dead_kip is None or loads.moment_kip_ft is None or loads.shear_kip is None:
        return _unknown("Legs and bolts, dead load, wind moment and shear must be given first.")
    if not loads.kind:
        return _unknown("What kind of load moment and shear are is not given.")
    if draft.embedment_in >= _deep_in(draft, standing):
        return _unknown("The bolts go through the concrete.")
    at_top = BaseLoads(
        loads.dead_kip,
        loads.moment_kip_ft + loads.shear_kip * draft.reactions_above_ft,
        loads.shear_kip,
        draft.torsion_kip_ft or 0.0,
        loads.kind,  # type: ignore[arg-type]
        draft.wind_strength_factor,
    )
    try:
        return check_anchorage(_case(draft, layout, at_top, standing))
    except InputError as error:
        raise InputError(FIELDS.get(error.field, error.field), error.message) from error


def nuts(draft: FoundationDesign) -> tuple[Check, ...]:
    """Projection and pretension of the double nuts."""
    if draft.base_plate_in is None:
        why = "The thickness of the base plate is not given."
        source = "height of the stack; two threads beyond the nut"
        title = "Projection of the anchor bolts"
        return (not_checked("anchor-projection", title, why, source=source, known=Known.PRACTICE, unit="in"),)
    case = StackCase(
        draft.base_plate_in,
        draft.anchor_size,  # type: ignore[arg-type]
        draft.anchor_grade,  # type: ignore[arg-type]
        draft.anchor_gap_in,
        leveling_nut=draft.anchor_seat == FoundationDesign.Seat.NUTS,
        projection_in=draft.projection_in,
    )
    return tuple(check for check in stack(case).checks if check.key != "anchor-bevel")


def _unknown(why: str) -> AnchorageResult:
    source = "ACI 318-19, chapter 17"
    return AnchorageResult(
        (not_checked("anchorage", "Anchor bolts", why, source=source, known=Known.MEMORY),), (), (), ()
    )


def _case(
    draft: FoundationDesign, layout: AnchorLayout, loads: BaseLoads, standing: PedestalFacts | None
) -> AnchorageCase:
    rectangle = draft.outline == FoundationDesign.Outline.RECTANGLE
    return AnchorageCase(
        layout=layout,
        loads=strength(loads),
        side_ft=draft.side_ft,
        thickness_ft=draft.thickness_ft,
        other_side_ft=draft.other_side_ft if rectangle else None,
        outline=draft.outline,  # type: ignore[arg-type]
        pedestals="one under all" if standing else "none",
        pedestal_in=standing.side_ft * 12 if standing else 24.0,
        pedestal_round=bool(standing and standing.form == "round"),
        pedestal_height_in=standing.height_ft * 12 if standing else 0.0,
        size=draft.anchor_size,  # type: ignore[arg-type]
        grade=draft.anchor_grade,  # type: ignore[arg-type]
        embedment_in=draft.embedment_in,
        foot=draft.anchor_foot,  # type: ignore[arg-type]
        plate_in=draft.anchor_plate_in,
        seat=draft.anchor_seat,  # type: ignore[arg-type]
        gap_in=draft.anchor_gap_in,
        prying=draft.prying,
        fc_psi=draft.fc_psi,
        reinforcement=_reinforcement(draft, standing),
        seismic_category=draft.seismic_category or None,  # type: ignore[arg-type]
    )


def _reinforcement(draft: FoundationDesign, standing: PedestalFacts | None) -> AnchorReinforcement | None:
    if not draft.anchor_bar_size:
        return None
    for name in ("anchor_bars", "anchor_bar_away_in"):
        if getattr(draft, name) is None:
            raise InputError(name, "is not given, and bars shall carry breakout.")
    assert draft.anchor_bars is not None and draft.anchor_bar_away_in is not None
    return AnchorReinforcement(
        draft.anchor_bar_size,  # type: ignore[arg-type]
        draft.anchor_bars,
        draft.anchor_bar_away_in,
        TOP_OF_BARS_IN,
        draft.anchor_bar_foot_in or _deep_in(draft, standing) - draft.cover_lower_in,
    )


def _deep_in(draft: FoundationDesign, standing: PedestalFacts | None) -> float:
    return (draft.thickness_ft + (standing.height_ft if standing else 0.0)) * 12
