"""A rough ASCE 7 estimate of the base moment: it catches reactions that leave out the tower's own wind."""

from __future__ import annotations

from installs.tower.facts import EstimateFacts, FrequencyFacts, Head, ReactionFacts
from sitecalc.cases import drawn_from
from sitecalc.checks import Check, Rule, readable
from sitecalc.tower.figures import TowerFigures
from sitecalc.tower.structure import Tower
from sitecalc.tower.wind import KNOWN, SOURCE, WindCase, WindResult, wind_reactions

SLOW_HZ = 1.0
ESTIMATE = Rule("moment_estimate", "Stated moment against an estimate", "kip-ft", SOURCE, KNOWN)


def estimate(
    figures: TowerFigures,
    tower: Tower,
    head: Head | None,
    frequency: FrequencyFacts | None,
    stated: ReactionFacts | None,
) -> tuple[EstimateFacts | None, list[Check]]:
    """The estimate and the stated moment held against it; open while no wind speed is given."""
    if figures.wind_mph is None:
        why = "The basic wind speed is not given: the stated moment is held against nothing."
        return None, [ESTIMATE.open(why)]
    thrust = head.thrust_kip if head and head.thrust_kip is not None else 0.0
    found = wind_reactions(
        drawn_from(
            WindCase,
            figures,
            tower=tower,
            head_thrust_kip=thrust,
            hub_above_top_ft=head.hub_above_top_ft if head else 0.0,
            solidity=figures.solidity_percent / 100,
        )
    )
    facts = EstimateFacts(
        moment_kip_ft=found.moment_kip_ft,
        shear_kip=found.shear_kip,
        tower_moment_kip_ft=found.tower_moment_kip_ft,
        thrust_kip=thrust,
        said=f"{figures.wind_mph:g} mph, exposure {figures.exposure}, level ground",
    )
    return facts, [_check(figures, facts, found, frequency, stated, _unknown_head(head))]


def _unknown_head(head: Head | None) -> str:
    """A push that nobody gave is no push of nothing."""
    if head is None:
        return "What stands on its top is not known; see the turbine's design."
    return "" if head.thrust_kip is not None else "The push of the turbine on its top is not given."


def _check(
    figures: TowerFigures,
    facts: EstimateFacts,
    found: WindResult,
    frequency: FrequencyFacts | None,
    stated: ReactionFacts | None,
    unknown: str,
) -> Check:
    if figures.gust_factor is None and (frequency is None or frequency.first_hz < SLOW_HZ):
        hz = "is not known" if frequency is None else f"is {frequency.first_hz:.3g} Hz"
        why = f"The tower's frequency {hz}; under 1 Hz G 0.85 is too little, the engineer gives it."
        return ESTIMATE.open(why)
    if stated is None or stated.strength_moment_kip_ft is None:
        return ESTIMATE.open("No moment at strength level is stated.")
    if unknown and facts.moment_kip_ft <= stated.strength_moment_kip_ft:
        without = f"{readable(facts.moment_kip_ft)} of {readable(stated.strength_moment_kip_ft)} kip-ft from"
        return ESTIMATE.open(f"{without} the tower alone. {unknown}")
    parts = f"{readable(facts.tower_moment_kip_ft)} from the tower"
    parts += (
        f", {readable(facts.thrust_kip)} kip on the head" if facts.thrust_kip else ", nothing on the head"
    )
    return ESTIMATE.compare(
        demand=facts.moment_kip_ft,
        capacity=stated.strength_moment_kip_ft,
        case=facts.said,
        note=f"{readable(facts.moment_kip_ft)} kip-ft estimated ({parts}), "
        f"{readable(stated.strength_moment_kip_ft)} stated; {facts.said}.",
        steps=found.steps,
    )
