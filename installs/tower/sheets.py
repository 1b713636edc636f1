"""The tower's paper sheets: the tower sheet of the permit packet, and the torque log with its twin."""

from __future__ import annotations

from typing import Any

from installs.drafting import to_svg
from installs.jobs.drafts import released_figures
from installs.jobs.models import DesignRevision, Job
from installs.tower import log_words
from installs.tower.drawing import elevation, scale_ft_per_inch, size_words
from installs.tower.facts import JointFacts, TowerFacts, released_facts
from installs.tower.frequency_drawing import frequency_svg
from installs.tower.joint_drawing import joint_svg, legend_svg
from installs.tower.review import said
from installs.tower.torque import JointState
from installs.tower.torque_log import load_torque
from sitecalc.tower.figures import TowerFigures

SHEET_PX, SWING_PX = 560.0, 540.0


def tower_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Elevation, frequency against the rotor, sections, joints, reactions, checks."""
    facts = released_facts(revision)
    drawn = {"elevation": to_svg(elevation(facts, balloons=False, tallest_px=SHEET_PX), for_print=True)}
    if facts.frequency is not None:
        figures = released_figures(TowerFigures, revision)
        drawn["frequency"] = frequency_svg(facts, figures, wide_px=SWING_PX, high_px=150, for_print=True)
    radius = (facts.head.rotor_diameter_ft or 0.0) / 2 if facts.head else 0.0
    return {
        "title": "Tower",
        "sheet": "T-1",
        "scale": f"1 in = {scale_ft_per_inch(facts.height_ft + radius, SHEET_PX)} ft",
        "drawings": drawn,
        "checks": revision.checks,
        "said": said(facts),
        "sections": [
            {
                "name": f"S{s.number}",
                "length": f"{s.length_ft:g} ft",
                "widths": f"{s.bottom_in:g} to {s.top_in:g} in",
                "weight": f"{s.weight_lb:,.0f} lb",
            }
            for s in facts.sections
        ],
        "joints": [_joint_line(j) for j in facts.joints],
        "base": _base_lines(facts),
        "bands": [band.sentence for band in facts.frequency.bands] if facts.frequency else [],
        "plumb": f"{facts.plumb_limit_in:.3g} in at the top, both directions together "
        "(TIA-222, clause not verified)",
    }


def _joint_line(joint: JointFacts) -> dict[str, Any]:
    return {
        "name": f"J{joint.number}",
        "at": f"{joint.at_ft:g} ft",
        "bolts": f"{len(joint.bolts)}, {size_words(joint.size)} {joint.grade}",
        "passes": ", ".join(p.words for p in joint.passes),
    }


def _base_lines(facts: TowerFacts) -> list[tuple[str, str]]:
    spacing = f"{facts.leg_spacing_ft:.4g} ft"
    lines = [("Leg spacing" if facts.legs else "Diameter at the foot", spacing)]
    per = "a leg" if facts.legs else "in all"
    lines.append(("Anchor bolts", f"{facts.anchor_bolts} {per}, pattern {facts.anchor_pattern_in:g} in"))
    if facts.dead_kip is not None:
        lines.append(("Dead load, tower and turbine", f"{facts.dead_kip:.3g} kip"))
    found = facts.reactions
    if found is None:
        return [*lines, ("Base reactions", "not given")]
    lines.append(("Base moment, shear", f"{found.moment_kip_ft:,.4g} kip-ft, {found.shear_kip:,.4g} kip"))
    lines.append(("Reactions", f"{found.kind}, {found.source or 'source not given'}"))
    if found.strength_moment_kip_ft is not None:
        lines.append(("At strength level", f"{found.strength_moment_kip_ft:,.4g} kip-ft"))
    if facts.estimate is not None:
        rough = facts.estimate
        lines.append(
            (
                "Rough estimate",
                f"{rough.moment_kip_ft:,.4g} kip-ft, {rough.said}; ASCE 7-16 (clause not verified)",
            )
        )
    if found.pull_kip is not None and found.push_kip is not None:
        lines.append(
            (
                "A leg, uplift and compression",
                f"{found.pull_kip:.3g} kip, {found.push_kip:.3g} kip, {found.direction}",
            )
        )
    return lines


def torque_log_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Every joint with its strokes as recorded, and blanks to fill by hand and key in later."""
    state = load_torque([job])[job.pk]
    return {
        "title": "Torque log",
        "sheet": "T-2",
        "drawings": {},
        "checks": [],
        "release": revision.letter,
        "sentence": state.sentence,
        "complete": state.complete,
        "write_behind": True,
        "joints": [_log_line(job, s) for s in state.joints],
    }


def _log_line(job: Job, state: JointState) -> dict[str, Any]:
    joint, lines = state.joint, log_words.recorded(job, state)
    own, checks = log_words.own_lines(lines), log_words.check_lines(lines, len(state.joint.bolts))
    return {
        "title": joint.title,
        "bolts": f"{len(joint.bolts)} bolts, {size_words(joint.size)} {joint.grade}",
        "drawing": joint_svg(joint, state, for_print=True),
        "legend": legend_svg(joint, for_print=True),
        "passes": [
            {
                "number": p.number,
                "words": p.words,
                "state": state.recorded(p.number),
                "told": log_words.pass_lines(lines, p.number),
            }
            for p in joint.passes
        ],
        "own": own,
        "checks": checks,
        # what is still to be written goes on the sheet of the joint behind this one (by_hand.py)
        "own_lines": range(0),
        "check_lines": range(0),
        "open": list(state.open),
        "check": state.to_check,
        "count": len(joint.bolts),
        "checked_by": [person.named for person in state.checked_by],
    }


def equipment(revision: DesignRevision) -> list[dict[str, Any]]:
    """The tower as one line of the permit packet's equipment list."""
    facts = released_facts(revision)
    return [{"item": f"Tower, {facts.kind}", "detail": said(facts), "quantity": 1, "unit": "each"}]
