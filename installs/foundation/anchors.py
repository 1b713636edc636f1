"""The anchor bolts of a draft in their concrete: by ACI 318-19 chapter 17, wind from every direction."""

from __future__ import annotations

import math

from installs.foundation.facts import LegFacts, LoadFacts, PedestalFacts
from sitecalc.cases import drawn_from, worked
from sitecalc.checks import Check
from sitecalc.foundation.anchor_case import AnchorageCase, AnchorReinforcement
from sitecalc.foundation.anchor_layout import AnchorLayout
from sitecalc.foundation.anchor_nuts import BEVEL, PROJECTION, StackCase, stack
from sitecalc.foundation.anchor_rules import ANCHORAGE
from sitecalc.foundation.anchorage import AnchorageResult, check_anchorage
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.loads import BaseLoads, strength
from sitecalc.inputs import InputError

TOP_OF_BARS_IN = 3.0
AS_SQUARE = math.sqrt(math.pi) / 2  # side of the square as large as a circle


def layout_of(legs: LegFacts) -> AnchorLayout | None:
    """Four bolts of a leg stand on a square, other numbers evenly on a circle; None while it is not known.

    Of bolts whose pattern is not known it says where the legs stand, and no more: ``places_known`` is false.
    """
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
        pattern_in=legs.pattern_in,
    )


def bolts_of(legs: LegFacts) -> AnchorLayout | None:
    """The layout, once it says where every bolt stands; a pattern that is not known is never a number."""
    layout = layout_of(legs)
    return layout if layout is not None and layout.places_known else None


def feet_apart_in(legs: LegFacts) -> float | None:
    """Side of the square the bolts of a leg stand on, of a circle the square as large; None: not known."""
    layout = layout_of(legs)
    if layout is None or layout.legs == 1:
        return None
    if layout.bolts == 1:
        return 0.0
    if legs.pattern_in is None:
        return None
    return legs.pattern_in * (1.0 if layout.pattern == "rectangle" else AS_SQUARE)


def anchorage(
    figures: FoundationFigures, loads: LoadFacts, legs: LegFacts, standing: PedestalFacts | None
) -> AnchorageResult:
    """One check says why, while legs or loads are not known. InputError names the field of the form."""
    if layout_of(legs) is not None and bolts_of(legs) is None:
        return _unknown("The pattern of a leg's bolts is not given.")
    layout = bolts_of(legs)
    if layout is None or loads.dead_kip is None or loads.moment_kip_ft is None or loads.shear_kip is None:
        return _unknown(
            "Legs, bolts and their pattern, dead load, wind moment and shear must be given first."
        )
    if not loads.kind:
        return _unknown("What kind of load moment and shear are is not given.")
    if figures.embedment_in >= _deep_in(figures, standing):
        return _unknown("The bolts go through the concrete.")
    at_top: BaseLoads = drawn_from(
        BaseLoads,
        figures,
        dead_kip=loads.dead_kip,
        moment_kip_ft=loads.moment_kip_ft + loads.shear_kip * figures.reactions_above_ft,
        shear_kip=loads.shear_kip,
        kind=loads.kind,
    )
    return worked(check_anchorage, _case(figures, layout, at_top, standing))


def nuts(figures: FoundationFigures) -> tuple[Check, ...]:
    """Projection and pretension of the double nuts."""
    if figures.base_plate_in is None:
        return (PROJECTION.open("The thickness of the base plate is not given."),)
    case = drawn_from(StackCase, figures, leveling_nut=figures.anchor_seat == "on leveling nuts")
    return tuple(check for check in worked(stack, case).checks if check.key != BEVEL.key)


def _unknown(why: str) -> AnchorageResult:
    return AnchorageResult((ANCHORAGE.open(why),), (), (), ())


def _case(
    figures: FoundationFigures, layout: AnchorLayout, loads: BaseLoads, standing: PedestalFacts | None
) -> AnchorageCase:
    case: AnchorageCase = drawn_from(
        AnchorageCase,
        figures,
        layout=layout,
        loads=worked(strength, loads),
        torsion_known=figures.torsion_kip_ft is not None,
        other_side_ft=figures.second_side_ft,
        pedestals="one under all" if standing else "none",
        pedestal_round=figures.pedestal == "round",
        reinforcement=_reinforcement(figures, standing),
    )
    return case


def _reinforcement(figures: FoundationFigures, standing: PedestalFacts | None) -> AnchorReinforcement | None:
    """InputError where bars shall carry breakout, and their number or distance is not said."""
    if not figures.anchor_bar_size:
        return None
    for name in ("anchor_bars", "anchor_bar_away_in"):
        if getattr(figures, name) is None:
            raise InputError(name, "is not given, and bars shall carry breakout.")
    foot = figures.anchor_bar_foot_in or _deep_in(figures, standing) - figures.cover_lower_in
    tied: AnchorReinforcement = drawn_from(AnchorReinforcement, figures, top_in=TOP_OF_BARS_IN, foot_in=foot)
    return tied


def _deep_in(figures: FoundationFigures, standing: PedestalFacts | None) -> float:
    return (figures.thickness_ft + (standing.height_ft if standing else 0.0)) * 12
