"""Beside the strengths: spacing and edges, earthquake, and what chapter 17 leaves to the engineer."""

from __future__ import annotations

import math

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.foundation.anchor_areas import edges
from sitecalc.foundation.anchor_case import AnchorageCase, steels
from sitecalc.foundation.anchor_modes import Modes
from sitecalc.foundation.anchor_strength import futa_ksi, pullout_lb

CHAPTER = "ACI 318-19, chapter 17"
STRETCH_DIAMETERS = 8.0
OVER_STEEL = 1.2
CONCRETE_KEYS = {
    "anchor-breakout-tension": ("Concrete breakout in tension", "17.6.2"),
    "anchor-pullout": ("Pullout", "17.6.3"),
    "anchor-blowout": ("Side-face blowout", "17.6.4"),
    "anchor-breakout-shear": ("Concrete breakout in shear", "17.7.2"),
    "anchor-pryout": ("Concrete pryout", "17.7.3"),
    "anchor-interaction": ("Tension with shear", "17.8"),
}


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
    return [
        not_checked(key, title, why, source=f"ACI 318-19, {clause}", known=Known.MEMORY, unit="kip")
        for key, (title, clause) in CONCRETE_KEYS.items()
    ]


def scope_checks(case: AnchorageCase) -> list[Check]:
    """What no static check answers."""
    found = [
        not_checked(
            "anchor-fatigue",
            "Fatigue of the anchor bolts",
            "High-cycle fatigue is outside chapter 17 (17.1.4), and wind loads these bolts over and over. "
            "The engineer must judge it, with the pretension that keeps the bolts from feeling it.",
            source="ACI 318-19, 17.1.4, as public texts cite it",
            known=Known.READ,
        )
    ]
    diameter = case.bolt.diameter_in
    if case.seat == "on leveling nuts" and case.gap_in > diameter:
        found.append(
            not_checked(
                "anchor-bending",
                "Bending of the anchor bolts under the plate",
                f"{case.gap_in:g} in stand free under the leveling nuts, more than one diameter: the bolts "
                "bend under shear. The engineer must judge it, or grout carries the plate.",
                source="AASHTO, structural supports for signs, double-nut joints",
                known=Known.MEMORY,
            )
        )
    return found


def layout_checks(case: AnchorageCase, modes: Modes) -> list[Check]:
    """17.9.2: spacing 4 da, 6 da where torqued; edge 6 da where torqued, else cover."""
    diameter = case.bolt.diameter_in
    spots = [(b, (b.x_in, b.y_in)) for body in modes.bodies for b in body.bolts]
    pairs = [(math.dist(p, q), a.mark, b.mark) for i, (a, p) in enumerate(spots) for b, q in spots[i + 1 :]]
    closest, one, other = min(pairs, default=(math.inf, "", ""))
    factor = 6.0 if case.torqued else 4.0
    found = []
    if pairs:
        found.append(
            compare(
                "anchor-spacing",
                "Bolts far enough apart",
                demand=factor * diameter,
                capacity=closest,
                unit="in",
                source="ACI 318-19, 17.9.2",
                known=Known.MEMORY,
                note=f"{closest:.2f} in from {one} to {other}, at least {factor:g} diameters, "
                f"{factor * diameter:g} in{' where bolts are torqued' if case.torqued else ''}.",
            )
        )
    near, mark, edge = min(
        (edge.distance((b.x_in, b.y_in)), b.mark, edge.name)
        for body in modes.bodies
        for edge in edges(body.polygon)
        for b in body.bolts
    )
    cover = 1.5 if diameter <= 0.625 else 2.0
    least = 6 * diameter if case.torqued else cover + diameter / 2
    said = "6 diameters where bolts are torqued" if case.torqued else f"{cover:g} in cover"
    found.append(
        compare(
            "anchor-edge",
            "Bolts far enough from the edge",
            demand=least,
            capacity=near,
            unit="in",
            source="ACI 318-19, 17.9.2 and table 20.5.1.3.1",
            known=Known.MEMORY,
            note=f"{near:.2f} in from {mark} to the {edge} edge, at least {least:g} in, {said}.",
        )
    )
    return found


def earthquake_checks(case: AnchorageCase, modes: Modes) -> list[Check]:
    """17.10 in categories C to F: ductility in tension, and that the loads hold the earthquake."""
    if case.seismic_category is None:
        return [
            not_checked(
                "anchor-seismic",
                "Earthquake",
                "The seismic design category is not given.",
                source="ACI 318-19, 17.10.1",
                known=Known.MEMORY,
            )
        ]
    if not case.seismic:
        return []
    found = []
    if not case.earthquake_in_loads:
        found.append(
            not_checked(
                "anchor-seismic",
                "Earthquake",
                f"Category {case.seismic_category}: the combinations hold no earthquake. The engineer must "
                "give them, or show that wind governs.",
                source="ACI 318-19, 17.10; ASCE 7-16, 2.3.6",
                known=Known.MEMORY,
            )
        )
    if not case.overstrength:
        found += _ductile(case, modes)
    return found


def _ductile(case: AnchorageCase, modes: Modes) -> list[Check]:
    """17.10.5.3(a): 1.2 Nsa under the nominal strength of the concrete, and 8 diameters free to stretch."""
    steel = steels()[case.grade]
    nsa = case.bolt.stress_area_in2 * futa_ksi(steel.yield_ksi, steel.tensile_ksi)
    pullout = pullout_lb(case.bearing_in2, case.fc_psi, cracked=case.cracked) / 1000
    per_bolt, which = modes.weakest_concrete_kip(pullout)
    long = STRETCH_DIAMETERS * case.bolt.diameter_in
    source = "ACI 318-19, 17.10.5.3(a); else (b) to (d): the plate yields, or overstrength"
    found = [
        compare(
            "anchor-seismic-ductility",
            "Steel before concrete in an earthquake",
            demand=OVER_STEEL * nsa,
            capacity=per_bolt,
            unit="kip",
            source=source,
            known=Known.MEMORY,
            case=which,
            note=f"1.2 Nsa is {OVER_STEEL * nsa:.1f} kip a bolt, concrete holds {per_bolt:.1f} ({which}).",
            steps=(Step("Nsa", "steel", "Ase futa", "", nsa, "kip"),),
        )
    ]
    if case.stretch_in is None:
        found.append(
            not_checked(
                "anchor-stretch",
                "Length of bolt free to stretch",
                f"Not given; {long:g} in, 8 diameters, are required.",
                source=source,
                known=Known.MEMORY,
                unit="in",
            )
        )
    else:
        found.append(
            compare(
                "anchor-stretch",
                "Length of bolt free to stretch",
                demand=long,
                capacity=case.stretch_in,
                unit="in",
                source=source,
                known=Known.MEMORY,
            )
        )
    return found
