"""Joints of a draft: each with the load of its bolts, the worst of them speaking for all."""

from __future__ import annotations

from dataclasses import replace

from installs.tower.facts import LEG_LETTERS, JointFacts, TowerFacts
from sitecalc.cases import drawn_from, figure_of
from sitecalc.checks import Check, worst_first
from sitecalc.figures import declared
from sitecalc.inputs import InputError
from sitecalc.tower.bolt_strength import BoltLoad
from sitecalc.tower.bolting import Joint, JointResult, joint
from sitecalc.tower.figures import JointRow, TowerFigures
from sitecalc.tower.reactions import Base, circle_bolt_tension_kip, leg_forces, moment_bound_kip_ft


def review_joints(
    figures: TowerFigures, facts: TowerFacts, k_source: str
) -> tuple[tuple[JointResult, ...], list[Check]]:
    """Every joint worked out, and by kind of check the joint that governs. InputError at "joints"."""
    results: list[JointResult] = []
    by_key: dict[str, list[Check]] = {}
    for index, row in enumerate(figures.joints):
        try:
            result = joint(_joint_case(figures, facts, index, row, k_source))
        except InputError as error:
            raise InputError(
                "joints", f"Joint {index + 1}, {_column(error.field)}: {error.message}"
            ) from None
        results.append(result)
        for check in result.checks:
            where = f"Joint {index + 1}"
            note = f"{where}: {check.note}"
            by_key.setdefault(check.key, []).append(
                replace(check, note=note, case=f"{where}, {check.case}".rstrip(", "))
            )
    return tuple(results), [_governing(checks) for checks in by_key.values()]


def _column(field: str) -> str:
    """The heading of the column that a field is, or what the field is where it is none of the row's."""
    headings = {f.name: f.label.lower() for f in declared(JointRow)}
    own = {f.name: f.label for f in declared(Joint)}
    return headings.get(figure_of(Joint, field), own.get(field, field))


def _governing(checks: list[Check]) -> Check:
    """The worst joint speaks for all; how many there are is said."""
    worst = worst_first(checks)[0]
    return (
        worst
        if len(checks) == 1
        else replace(worst, note=f"{worst.note.rstrip('.')}. Worst of {len(checks)} joints.")
    )


def _joint_case(figures: TowerFigures, facts: TowerFacts, index: int, row: JointRow, k_source: str) -> Joint:
    load = _bolt_load(facts, index, row)
    return drawn_from(Joint, figures, row, k_source=k_source, load=load)


def _bolt_load(facts: TowerFacts, index: int, row: JointRow) -> BoltLoad:
    """What one bolt carries at strength level, the moment taken as a line from foot to hub."""
    found, below = facts.reactions, facts.sections[index]
    # without the head its height is not known, nor the moment at a joint under it
    if found is None or found.strength_moment_kip_ft is None or facts.head is None:
        return BoltLoad()
    hub = facts.height_ft + facts.head.hub_above_top_ft
    moment = moment_bound_kip_ft(found.strength_moment_kip_ft, hub, below.top_ft)
    above = sum(s.weight_lb for s in facts.sections[index + 1 :]) / 1000
    dead = above + facts.head.weight_lb / 1000
    bolts = _count(row)
    if not facts.legs:
        circle = row.circle_in
        if circle is None:
            return BoltLoad()
        return BoltLoad(tension_kip=circle_bolt_tension_kip(moment, 0.9 * dead, bolts, circle / 12))
    shear = found.strength_shear_kip
    if shear is None:
        return BoltLoad()
    forces = leg_forces(
        Base(
            moment_kip_ft=moment,
            shear_kip=shear,
            dead_kip=0.9 * dead,
            legs=facts.legs,
            spacing_ft=below.top_in / 12,
        )
    )
    if row.carries == "shear":
        # 1.2 D pushes a little more than 0.9 D does; push and pull both bear on the same bolts
        push = forces.push_kip + (1.2 - 0.9) * dead / facts.legs
        return BoltLoad(shear_kip=max(forces.pull_kip, push) / bolts)
    return BoltLoad(tension_kip=forces.pull_kip / bolts)


def _count(row: JointRow) -> int:
    return max(1, round(row.bolts))


def joint_facts(facts: TowerFacts, index: int, row: JointRow, result: JointResult) -> JointFacts:
    return JointFacts(
        number=index + 1,
        at_ft=facts.sections[index].top_ft,
        legs=tuple(LEG_LETTERS[: facts.legs]),
        bolts_per_leg=_count(row),
        size=row.size,
        grade=row.grade,
        tightening=row.tightening,
        passes=result.passes,
    )
