"""The order and the limits of a truck in words, for page, phone and paper."""

from __future__ import annotations

from installs.pour.terms import PourTerms
from sitecalc.foundation.take_off import Delivery
from sitecalc.pour.cold import ABOVE_PLACED_F, COLD_AIR_F, section_of
from sitecalc.pour.placing import HOT_F, air_range, slump_range, temperature_range


def rules_words(terms: PourTerms | None, air_f: float | None) -> str:
    """The rules behind a truck's limits, by the section's size and the weather."""
    if terms is None or terms.least_dimension_in is None:
        return ""
    row, least = section_of(terms.least_dimension_in), terms.least_dimension_in
    if air_f is None:
        weather = "air of the day not recorded, taken as not cold"
    elif air_f < COLD_AIR_F:
        weather = f"air {air_f:g} F, cold: at most {ABOVE_PLACED_F:g} F over the least"
    else:
        weather = f"air {air_f:g} F, not cold ({COLD_AIR_F:g} F and over)"
    return (
        f"Section {least:g} in, {weather}. At least {row.as_placed_f:g} F: {row.words}. At most "
        f"{terms.figures.highest_f:g} F by this job; ACI 305.1 allows {HOT_F:g} F (clause not verified). "
        "Slump and air: ASTM C94 (clause not verified); "
        "time: ASTM C94 before 2021 (clause not verified)."
    )


def no_order(void: str) -> str:
    """Of a release that no longer stands, in words; nothing where it stands."""
    return f"NO ORDER. {void[:1].upper()}{void[1:]}. Release the pour again." if void else ""


def order_words(terms: PourTerms | None, order: Delivery | None) -> str:
    """What is said to the plant."""
    if terms is None or order is None:
        return "Order: not known until the foundation is released."
    loads = ", ".join(f"{load:g}" for load in order.loads_yd3)
    fc = terms.figures.fc_psi
    mix = f"{fc:,.0f} psi, " if fc else ""
    waste = terms.figures.waste_pct
    return (
        f"Order {order.order_yd3:g} yd³ ({order.net_yd3:.1f} yd³ net, {waste:g} % more), "
        f"{len(order.loads_yd3)} truck{'s' if len(order.loads_yd3) != 1 else ''} of {loads} yd³: "
        f"{mix}stone to {terms.figures.aggregate_in:g} in, slump {terms.figures.slump_in:g} in, "
        f"air {terms.figures.air_pct:g} %. "
        "Call in the balance load while the next-to-last truck is discharging."
    )


def limits_words(terms: PourTerms | None, air_f: float | None) -> str:
    """What a truck is held to, in one line."""
    limits = terms.limits() if terms else None
    if limits is None:
        return "Limits of a truck: the section's least dimension is not known."
    slump, air, heat = slump_range(limits), air_range(limits), temperature_range(limits, air_f)
    cold = ", cold weather" if heat[1] < limits.highest_f else ""
    return (
        f"Accepted: slump {slump[0]:g} to {slump[1]:g} in, air {air[0]:g} to {air[1]:g} %, "
        f"concrete {heat[0]:g} to {heat[1]:g} F{cold}, "
        f"discharged within {limits.most_minutes:g} min of batching."
    )
