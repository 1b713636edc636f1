"""Reviews a tower: weights, frequency against the rotor, joints bolt by bolt. Milliseconds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from installs.tower.estimate import estimate
from installs.tower.facts import (
    FrequencyFacts,
    Head,
    ReactionFacts,
    SectionFacts,
    Swing,
    TowerFacts,
    Variant,
)
from installs.tower.head import head_of
from installs.tower.joint_review import joint_facts, review_joints
from installs.tower.models import TowerDesign
from installs.tower.torque import TorqueState
from installs.tower.torque_log import load_torque
from sitecalc.cases import drawn_from, figure_of
from sitecalc.checks import Check, Known, Rule, readable, worst_first
from sitecalc.inputs import InputError
from sitecalc.tower.bolting import JointResult
from sitecalc.tower.figures import TowerFigures
from sitecalc.tower.frequency import METHOD, FrequencyCase, FrequencyResult, first_frequency
from sitecalc.tower.plumb import assembly_hours, plumb_limit_in
from sitecalc.tower.reactions import (
    Base,
    leg_forces,
    strength_factor,
)
from sitecalc.tower.resonance import Rotor
from sitecalc.tower.structure import Section, Tower, weights

__all__ = ["Review", "TorqueState", "load_torque", "review"]

REACTIONS = "the tower's maker or the engineer"
CREW = 4
# the foot stands on a pedestal or pad that shows a little above grade
HUB_WITHIN_FT = 3.0

BASE_REACTIONS = Rule("reactions", "Base reactions", "", REACTIONS, Known.PRACTICE)
HUB_HEIGHT = Rule("hub_height", "Hub height", "ft", "the tower and the turbine design agree", Known.PRACTICE)
FREQUENCY = Rule("frequency", "Tower frequency", "Hz", METHOD, Known.READ)


@dataclass(frozen=True)
class Review:
    """``results`` is what a release freezes; ``frequency`` and ``joint_results`` stand behind it."""

    checks: tuple[Check, ...]
    results: TowerFacts
    frequency: FrequencyResult | None
    joint_results: tuple[JointResult, ...]


def review(draft: TowerDesign) -> Review:
    """Checks and facts of a figures. InputError names the field of the form."""
    figures = draft.figures
    tower = _tower(figures)
    head = head_of(draft.job)
    facts = _facts(figures, tower, head)
    frequency, frequency_checks = _frequency(figures, tower, head)
    results, joint_checks = review_joints(figures, facts, draft.notes.get("nut_factor", ""))
    swing = _frequency_facts(frequency)
    rough, rough_checks = estimate(figures, tower, head, swing, facts.reactions)
    facts = replace(
        facts,
        joints=tuple(
            joint_facts(facts, n, row, r)
            for n, (row, r) in enumerate(zip(figures.joints, results, strict=True))
        ),
        frequency=swing,
        estimate=rough,
    )
    checks = (*frequency_checks, *_reaction_checks(facts), *rough_checks, *_hub_check(facts), *joint_checks)
    return Review(tuple(worst_first(checks)), facts, frequency, results)


def plain_facts(draft: TowerDesign) -> TowerFacts:
    """Weights, base and reactions alone, without frequency and joints: for parts that need no more."""
    return _facts(draft.figures, _tower(draft.figures), head_of(draft.job))


def _tower(figures: TowerFigures) -> Tower:
    if not figures.sections:
        raise InputError("sections", "are missing: lengths, widths, weights, from the foot up.")
    tower = Tower(figures.kind, tuple(drawn_from(Section, row) for row in figures.sections))
    try:
        weights(tower)
    except InputError as error:
        raise _at_row("sections", "Section", error) from None
    wanted = len(figures.sections) - 1
    if len(figures.joints) != wanted:
        raise InputError(
            "joints",
            f"are {len(figures.joints)}; {len(figures.sections)} sections have {wanted} joints between them.",
        )
    return tower


def _at_row(field: str, word: str, error: InputError) -> InputError:
    """ "sections[1].top_in" as a sentence at the table: "Section 2, top in: ..." """
    row, _, column = error.field.partition("].")
    number = row.partition("[")[2]
    place = f"{word} {int(number) + 1}, {column.replace('_', ' ')} " if number.isdigit() else ""
    return InputError(field, f"{place}{error.message}")


def _facts(figures: TowerFigures, tower: Tower, head: Head | None) -> TowerFacts:
    """All that needs neither rotor nor bolts."""
    found = weights(tower)
    sections, bottom = [], 0.0
    for number, (section, (weight, center)) in enumerate(zip(tower.sections, found.sections, strict=True), 1):
        sections.append(
            SectionFacts(
                number=number,
                bottom_ft=bottom,
                length_ft=section.length_ft,
                bottom_in=section.bottom_in,
                top_in=section.top_in,
                weight_lb=weight,
                center_ft=center,
            )
        )
        bottom += section.length_ft
    dead = (found.total_lb + head.weight_lb) / 1000 if head else None
    spacing = tower.sections[0].bottom_in / 12
    hours = assembly_hours(tower.height_ft, CREW) if tower.legs else None
    return TowerFacts(
        kind=figures.kind,
        legs=tower.legs,
        height_ft=tower.height_ft,
        weight_lb=found.total_lb,
        center_ft=found.center_ft,
        dead_kip=dead,
        leg_spacing_ft=spacing,
        anchor_bolts=figures.anchor_bolts,
        anchor_pattern_in=figures.anchor_pattern_in,
        plumb_limit_in=plumb_limit_in(tower.height_ft, figures.plumb_percent),
        assembly_hours=hours,
        sections=tuple(sections),
        joints=(),
        head=head,
        reactions=_reactions(figures, tower, dead, spacing),
        frequency=None,
    )


def _reactions(
    figures: TowerFigures, tower: Tower, dead: float | None, spacing: float
) -> ReactionFacts | None:
    if figures.moment_kip_ft is None or figures.shear_kip is None or not figures.reactions:
        return None
    own = figures.load_factor
    factor = strength_factor(figures.reactions) if own is None else own
    moment = None if factor is None else figures.moment_kip_ft * factor
    legs = None
    if moment is not None and factor is not None and tower.legs:
        # 0.9 D: the least dead load holds down least
        held = 0.9 * (dead if dead is not None else weights(tower).total_lb / 1000)
        legs = leg_forces(
            Base(
                moment_kip_ft=moment,
                shear_kip=figures.shear_kip * factor,
                dead_kip=held,
                legs=tower.legs,
                spacing_ft=spacing,
            )
        )
    return ReactionFacts(
        kind=figures.reactions,
        source=figures.reactions_source,
        moment_kip_ft=figures.moment_kip_ft,
        shear_kip=figures.shear_kip,
        strength_moment_kip_ft=moment,
        strength_shear_kip=figures.shear_kip * factor if factor else None,
        pull_kip=legs.pull_kip if legs else None,
        push_kip=legs.push_kip if legs else None,
        direction=legs.direction if legs else "",
    )


def _reaction_checks(facts: TowerFacts) -> list[Check]:
    """Reactions are stated, not worked out here: what is checked is whether they can be used."""
    found = facts.reactions
    if found is None:
        why = "Base moment and shear, and what they are, are not given."
    elif found.strength_moment_kip_ft is None:
        why = f"They are {found.kind} loads; the factor to strength level is not given."
    elif not found.source:
        why = "Who states them, in which document, is not given."
    else:
        return []
    return [BASE_REACTIONS.open(why)]


def _hub_check(facts: TowerFacts) -> list[Check]:
    """The hub height that site and energy were worked out for is the one this tower gives."""
    if facts.head is None or facts.head.hub_ft is None:
        return []
    given = facts.height_ft + facts.head.hub_above_top_ft
    return [
        HUB_HEIGHT.compare(
            demand=abs(facts.head.hub_ft - given),
            capacity=HUB_WITHIN_FT,
            note=f"Tower and head give {readable(given)} ft over the foot, the turbine design has "
            f"{readable(facts.head.hub_ft)} ft over grade; they may differ by {HUB_WITHIN_FT:g} ft.",
        )
    ]


def rotor_of(figures: TowerFigures, head: Head) -> Rotor:
    """Speeds of the machine, with the window that is skipped and the margin that is kept."""
    rotor: Rotor = drawn_from(
        Rotor,
        figures,
        blades=head.blades,
        speed_low_rpm=head.speed_low_rpm,
        speed_high_rpm=head.speed_high_rpm,
        overspeed_rpm=head.overspeed_rpm,
        margin=figures.margin_percent / 100,
    )
    return rotor


_first_frequency = lru_cache(maxsize=64)(first_frequency)  # the same tower is solved once


def _frequency(
    figures: TowerFigures, tower: Tower, head: Head | None
) -> tuple[FrequencyResult | None, list[Check]]:
    if head is None:
        why = "The turbine's weight is not known; see its design."
        return None, [FREQUENCY.open(why)]
    case = drawn_from(
        FrequencyCase,
        figures,
        tower=tower,
        head_weight_lb=head.weight_lb,
        rotor=rotor_of(figures, head),
        head_above_top_ft=head.center_above_top_ft,
    )
    try:
        found = _first_frequency(case)
    except InputError as error:
        raise InputError(_form_field(error.field), error.message) from None
    return found, list(found.checks)


def _form_field(field: str) -> str:
    """Fields that are the tower's own; the others are the turbine's and have no field here."""
    shown = figure_of(FrequencyCase, field)
    return f"turbine, {field}" if shown == field else shown


def _frequency_facts(found: FrequencyResult | None) -> FrequencyFacts | None:
    if found is None:
        return None
    return FrequencyFacts(
        first_hz=found.first_hz,
        fixed_foot_hz=found.fixed_foot_hz,
        least_spring_kip_ft=found.least_spring_kip_ft,
        stiffness=found.stiffness,
        bands=found.bands,
        variants=tuple(Variant(what, hz) for what, hz in found.variants),
        shape=tuple(Swing(height, lean) for height, lean in found.shape),
    )


def said(facts: TowerFacts) -> str:
    """The tower in a line: "4 legs, 100 ft, 5 sections, 4,930 lb, center of gravity 41 ft up"."""
    kind = "tube" if not facts.legs else f"lattice on {facts.legs} legs"
    return (
        f"{kind}, {readable(facts.height_ft)} ft in {len(facts.sections)} sections, "
        f"{readable(facts.weight_lb)} lb, center of gravity {readable(round(facts.center_ft, 1))} ft up"
    )
