"""Digging, forms, bars and anchor bolts of a released foundation, for the material list.

Bars stand once, by their marks; the weight of a mark is said beside it. One spare nut and washer a leg is
common practice, no source. Concrete is ordered by the pour's figures and stands with the pour.
"""

from __future__ import annotations

from typing import Any

from installs.drafting import feet_and_inches
from installs.foundation.facts import FoundationFacts, released_facts
from installs.jobs.material_lines import Line
from sitecalc.foundation.rebar import BarMark

DIGGING = "excavation"
SPARED = ("Heavy hex nut", "Hardened washer")


def lines(revision: Any) -> list[Line]:
    """All with the excavation and rebar."""
    facts = released_facts(revision)
    return [*_forms(facts), *map(_bars, facts.marks), *_steel(facts), *_anchors(facts)]


def _forms(facts: FoundationFacts) -> list[Line]:
    return [
        Line(
            DIGGING, "Digging", "in place, 2 ft round the forms, not sloped", facts.excavation_yd3, "yd3", 0.0
        ),
        Line(DIGGING, "Forms", f"{feet_and_inches(facts.thickness_ft)} high", facts.form_ft2, "sq ft", 0.0),
    ]


def _bars(mark: BarMark) -> Line:
    lapped = f", {mark.pieces} pieces a bar lapped {mark.lap_in:g} in" if mark.pieces > 1 else ""
    where = f"{mark.mat} mat {mark.runs}" if mark.mat in ("lower", "upper") else f"{mark.mat} {mark.runs}"
    bent = "" if mark.shape == "straight" else f" to cut, {mark.shape}"
    heavy = f", {mark.weight_lb:,.0f} lb"
    detail = f"{mark.mark}, {feet_and_inches(mark.piece_ft)}{bent}, {where.strip()}{lapped}{heavy}"
    return Line(
        DIGGING,
        f"Bar {mark.size}, Grade 60",
        detail,
        mark.count * mark.pieces,
        "each",
        by_weight_lb=mark.weight_lb,
    )


def _steel(facts: FoundationFacts) -> list[Line]:
    return [
        Line(DIGGING, "Chairs", "about one to 4 ft each way, each mat", facts.chairs, "each", 0.0),
        Line(DIGGING, "Tie wire", "", facts.tie_wire_lb, "lb", 0.0),
    ]


def _anchors(facts: FoundationFacts) -> list[Line]:
    legs = max(1, facts.legs.legs or 1)
    return [
        Line(
            DIGGING,
            line.item,
            line.detail,
            line.quantity,
            "each",
            float(legs) if line.item in SPARED else 0.0,
            good=", ".join(filter(None, [line.item, line.detail])),
        )
        for line in facts.anchors
    ]
