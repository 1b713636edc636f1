"""Beside the strengths: spacing and edges, earthquake, and what chapter 17 leaves to the engineer.

Clauses and numbers of chapter 17 were read in a fastener maker's design guides that quote them: to ACI
318-19, July 2022 (pages 59 to 77 breakout, spacing and edges, 87 to 99 pullout and 17.10.5.4, 114 and 119
blowout, 136 and 300 steel, 216 to 237 pryout); on breakout in shear, October 2025 (pages 81, 86, 99, 139,
142). And in public clause-by-clause notes on ACI 318M-19, 17.1 to 17.10 (17.10.1 and 17.10.5.3 in these
alone).
"""

from __future__ import annotations

import math

from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula
from sitecalc.foundation.anchor_areas import edges
from sitecalc.foundation.anchor_case import AnchorageCase, steels
from sitecalc.foundation.anchor_modes import Modes

CHAPTER = "ACI 318-19, chapter 17"
STRETCH_DIAMETERS = 8.0
DUCTILE = "ACI 318-19, 17.10.5.3(a); else (b) to (d): the plate yields, or overstrength"

ANCHORAGE = Rule("anchorage", "Anchor bolts", "", CHAPTER, Known.SECONDARY)
STEEL_TENSION = Rule(
    "anchor-steel-tension", "Anchor bolt steel in tension", "kip", "ACI 318-19, 17.6.1", Known.SECONDARY
)
STEEL_SHEAR = Rule(
    "anchor-steel-shear", "Anchor bolt steel in shear", "kip", "ACI 318-19, 17.7.1", Known.SECONDARY
)
BREAKOUT_TENSION = Rule(
    "anchor-breakout-tension",
    "Concrete breakout in tension",
    "kip",
    "ACI 318-19, 17.6.2",
    Known.SECONDARY,
)
IN_PLACE_OF_BREAKOUT = BREAKOUT_TENSION.stated(
    title="Anchor reinforcement in place of breakout in tension", source="ACI 318-19, 17.5.2.1"
)
PULLOUT = Rule("anchor-pullout", "Pullout", "kip", "ACI 318-19, 17.6.3", Known.SECONDARY)
BLOWOUT = Rule("anchor-blowout", "Side-face blowout", "kip", "ACI 318-19, 17.6.4", Known.SECONDARY)
BREAKOUT_SHEAR = Rule(
    "anchor-breakout-shear", "Concrete breakout in shear", "kip", "ACI 318-19, 17.7.2", Known.SECONDARY
)
PRYOUT = Rule("anchor-pryout", "Concrete pryout", "kip", "ACI 318-19, 17.7.3", Known.SECONDARY)
INTERACTION = Rule("anchor-interaction", "Tension with shear", "", "ACI 318-19, 17.8", Known.SECONDARY)
STEEL = (STEEL_TENSION, STEEL_SHEAR)
CONCRETE = (BREAKOUT_TENSION, PULLOUT, BLOWOUT, BREAKOUT_SHEAR, PRYOUT)
CONCRETE_KEYS = frozenset(rule.key for rule in CONCRETE)

FATIGUE = Rule(
    "anchor-fatigue",
    "Fatigue of the anchor bolts",
    "",
    "ACI 318-19, 17.1.4",
    Known.SECONDARY,
)
BENT = Rule(
    "anchor-bending",
    "Bending of the anchor bolts under the plate",
    "",
    "AASHTO, structural supports for signs: up to one diameter free",
    Known.SECONDARY,
)
SPACING = Rule("anchor-spacing", "Bolts far enough apart", "in", "ACI 318-19, 17.9.2", Known.SECONDARY)
EDGE = Rule(
    "anchor-edge",
    "Bolts far enough from the edge",
    "in",
    "ACI 318-19, 17.9.2 and table 20.5.1.3.1",
    Known.SECONDARY,
)
SEISMIC = Rule("anchor-seismic", "Earthquake", "", "ACI 318-19, 17.10.1", Known.SECONDARY)
SEISMIC_LOADS = SEISMIC.stated(source="ACI 318-19, 17.10; ASCE 7-16, 2.3.6", known=Known.MEMORY)
DUCTILITY = Rule(
    "anchor-seismic-ductility", "Steel before concrete in an earthquake", "kip", DUCTILE, Known.SECONDARY
)
STRETCH = Rule("anchor-stretch", "Length of bolt free to stretch", "in", DUCTILE, Known.SECONDARY)

NOMINAL_STEEL = Formula("Nsa", "steel", "Ase*futa", "kip")
OVER = Formula("1.2 Nsa", "what the concrete must hold", "1.2*Nsa", "kip")


def outside_chapter(case: AnchorageCase) -> str:
    """Why the concrete of these bolts cannot be judged by chapter 17; "" where it can."""
    if case.foot == "one plate or ring":
        return (
            "Several bolts on one embedded plate or ring are outside chapter 17 (17.1.5). The engineer "
            "designs how they hold in the concrete."
        )
    if case.foot == "hook":
        return (
            "Hooked bolts and cages are not judged as headed bolts here. The engineer designs how they "
            "hold, or headed bolts are used."
        )
    return ""


def concrete_not_checked(why: str) -> list[Check]:
    """Every strength of the concrete is left open, with the reason."""
    return [rule.open(why) for rule in (*CONCRETE, INTERACTION)]


def scope_checks(case: AnchorageCase) -> list[Check]:
    """What no static check answers."""
    found = [
        FATIGUE.open(
            "High-cycle fatigue is outside chapter 17 (17.1.4), and wind loads these bolts over and over. "
            "The engineer must judge it, together with the pretension that shields the bolts from it."
        )
    ]
    if case.seat == "on leveling nuts" and case.gap_in > case.bolt.diameter_in:
        why = (
            f"{case.gap_in:g} in stand free under the leveling nuts, more than one diameter: the bolts "
            "bend under shear. The engineer must judge it, or grout carries the plate."
        )
        found.append(BENT.open(why))
    return found


def layout_checks(case: AnchorageCase, modes: Modes) -> list[Check]:
    """Spacing 4 da, 6 da where torqued; edge 6 da where torqued, else cover; in. ACI 318-19, 17.9.2."""
    diameter = case.bolt.diameter_in
    spots = [(b, (b.x_in, b.y_in)) for body in modes.bodies for b in body.bolts]
    pairs = [(math.dist(p, q), a.mark, b.mark) for i, (a, p) in enumerate(spots) for b, q in spots[i + 1 :]]
    closest, one, other = min(pairs, default=(math.inf, "", ""))
    factor = 6.0 if case.torqued else 4.0
    found = []
    if pairs:
        torqued = " where bolts are torqued" if case.torqued else ""
        said = f"{closest:.2f} in from {one} to {other}, at least {factor:g} diameters"
        note = f"{said}, {factor * diameter:g} in{torqued}."
        found.append(SPACING.compare(demand=factor * diameter, capacity=closest, note=note))
    near, mark, edge = min(
        (edge.distance((b.x_in, b.y_in)), b.mark, edge.name)
        for body in modes.bodies
        for edge in edges(body.polygon)
        for b in body.bolts
    )
    cover = 1.5 if diameter <= 0.625 else 2.0
    least = 6 * diameter if case.torqued else cover + diameter / 2
    said = "6 diameters where bolts are torqued" if case.torqued else f"{cover:g} in cover"
    note = f"{near:.2f} in from {mark} to the {edge} edge, at least {least:g} in, {said}."
    found.append(EDGE.compare(demand=least, capacity=near, note=note))
    return found


def earthquake_checks(case: AnchorageCase, modes: Modes) -> list[Check]:
    """17.10 in categories C to F: ductility in tension, and that the loads hold the earthquake."""
    if case.seismic_category is None:
        return [SEISMIC.open("The seismic design category is not given.")]
    if not case.seismic:
        return []
    found = []
    if not case.earthquake_in_loads:
        why = (
            f"Category {case.seismic_category}: the combinations hold no earthquake. The engineer must "
            "give them, or show that wind governs."
        )
        found.append(SEISMIC_LOADS.open(why))
    if not case.overstrength:
        found += _ductile(case, modes)
    return found


def _ductile(case: AnchorageCase, modes: Modes) -> list[Check]:
    """17.10.5.3(a): 1.2 Nsa under the nominal strength of the concrete, and 8 diameters free to stretch."""
    nsa = NOMINAL_STEEL.step(Ase=case.bolt.stress_area_in2, futa=steels()[case.grade].futa.value)
    over = OVER.step(Nsa=nsa.value)
    per_bolt, which = modes.weakest_concrete_kip(modes.nominal_pullout.value / 1000)
    long = STRETCH_DIAMETERS * case.bolt.diameter_in
    ductile = DUCTILITY.compare(
        demand=over.value,
        capacity=per_bolt,
        case=which,
        note=f"1.2 Nsa is {over.value:.1f} kip a bolt, concrete holds {per_bolt:.1f} ({which}).",
        steps=(nsa, over),
    )
    if case.stretch_in is None:
        return [ductile, STRETCH.open(f"Not given; {long:g} in, 8 diameters, are required.")]
    return [ductile, STRETCH.compare(demand=long, capacity=case.stretch_in)]
