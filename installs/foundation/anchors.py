"""The anchor bolts of a draft in their concrete: by ACI 318-19 chapter 17, wind from every direction."""

from __future__ import annotations

from installs.foundation.facts import LegFacts, LoadFacts, PedestalFacts
from sitecalc.checks import Check, Known, not_checked
from sitecalc.foundation.anchor_case import AnchorageCase, AnchorReinforcement
from sitecalc.foundation.anchor_layout import AnchorLayout
from sitecalc.foundation.anchor_nuts import StackCase, stack
from sitecalc.foundation.anchorage import AnchorageResult, check_anchorage
from sitecalc.foundation.figures import FoundationFigures
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
        return AnchorLayout(legs=1, spacing_ft=legs.spacing_ft, bolts=legs.bolts)
    square = legs.bolts in (1, 4)
    return AnchorLayout(
        legs=legs.legs,
        spacing_ft=legs.spacing_ft,
        bolts=legs.bolts,
        pattern="rectangle" if square else "circle",
        pattern_in=legs.pattern_in or 1.0,
    )


def anchorage(
    figures: FoundationFigures, loads: LoadFacts, legs: LegFacts, standing: PedestalFacts | None
) -> AnchorageResult:
    """One check says why, while legs or loads are not known. InputError names the field of the form."""
    layout = layout_of(legs)
    if layout is None or loads.dead_kip is None or loads.moment_kip_ft is None or loads.shear_kip is None:
        return _unknown("Legs and bolts, dead load, wind moment and shear must be given first.")
    if not loads.kind:
        return _unknown("What kind of load moment and shear are is not given.")
    if figures.embedment_in >= _deep_in(figures, standing):
        return _unknown("The bolts go through the concrete.")
    at_top = BaseLoads(
        dead_kip=loads.dead_kip,
        moment_kip_ft=loads.moment_kip_ft + loads.shear_kip * figures.reactions_above_ft,
        shear_kip=loads.shear_kip,
        torsion_kip_ft=figures.torsion_kip_ft or 0.0,
        kind=loads.kind,  # type: ignore[arg-type]
        wind_strength_factor=figures.wind_strength_factor,
    )
    try:
        return check_anchorage(_case(figures, layout, at_top, standing))
    except InputError as error:
        raise InputError(FIELDS.get(error.field, error.field), error.message) from error


def nuts(figures: FoundationFigures) -> tuple[Check, ...]:
    """Projection and pretension of the double nuts."""
    if figures.base_plate_in is None:
        why = "The thickness of the base plate is not given."
        source = "height of the stack; two threads beyond the nut"
        title = "Projection of the anchor bolts"
        return (not_checked("anchor-projection", title, why, source=source, known=Known.PRACTICE, unit="in"),)
    case = StackCase(
        plate_in=figures.base_plate_in,
        size=figures.anchor_size,  # type: ignore[arg-type]
        grade=figures.anchor_grade,  # type: ignore[arg-type]
        gap_in=figures.anchor_gap_in,
        leveling_nut=figures.anchor_seat == "on leveling nuts",
        projection_in=figures.projection_in,
    )
    return tuple(check for check in stack(case).checks if check.key != "anchor-bevel")


def _unknown(why: str) -> AnchorageResult:
    source = "ACI 318-19, chapter 17"
    return AnchorageResult(
        (not_checked("anchorage", "Anchor bolts", why, source=source, known=Known.MEMORY),), (), (), ()
    )


def _case(
    figures: FoundationFigures, layout: AnchorLayout, loads: BaseLoads, standing: PedestalFacts | None
) -> AnchorageCase:
    rectangle = figures.outline == "rectangle"
    return AnchorageCase(
        layout=layout,
        loads=strength(loads),
        side_ft=figures.side_ft,
        thickness_ft=figures.thickness_ft,
        other_side_ft=figures.other_side_ft if rectangle else None,
        outline=figures.outline,  # type: ignore[arg-type]
        pedestals="one under all" if standing else "none",
        pedestal_in=standing.side_ft * 12 if standing else 24.0,
        pedestal_round=bool(standing and standing.form == "round"),
        pedestal_height_in=standing.height_ft * 12 if standing else 0.0,
        size=figures.anchor_size,  # type: ignore[arg-type]
        grade=figures.anchor_grade,  # type: ignore[arg-type]
        embedment_in=figures.embedment_in,
        foot=figures.anchor_foot,  # type: ignore[arg-type]
        plate_in=figures.anchor_plate_in,
        seat=figures.anchor_seat,  # type: ignore[arg-type]
        gap_in=figures.anchor_gap_in,
        prying=figures.prying,
        fc_psi=figures.fc_psi,
        reinforcement=_reinforcement(figures, standing),
        seismic_category=figures.seismic_category or None,  # type: ignore[arg-type]
    )


def _reinforcement(figures: FoundationFigures, standing: PedestalFacts | None) -> AnchorReinforcement | None:
    if not figures.anchor_bar_size:
        return None
    for name in ("anchor_bars", "anchor_bar_away_in"):
        if getattr(figures, name) is None:
            raise InputError(name, "is not given, and bars shall carry breakout.")
    assert figures.anchor_bars is not None and figures.anchor_bar_away_in is not None
    return AnchorReinforcement(
        size=figures.anchor_bar_size,  # type: ignore[arg-type]
        count=figures.anchor_bars,
        away_in=figures.anchor_bar_away_in,
        top_in=TOP_OF_BARS_IN,
        foot_in=figures.anchor_bar_foot_in or _deep_in(figures, standing) - figures.cover_lower_in,
    )


def _deep_in(figures: FoundationFigures, standing: PedestalFacts | None) -> float:
    return (figures.thickness_ft + (standing.height_ft if standing else 0.0)) * 12
