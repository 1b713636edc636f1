"""Figures that contradict each other are refused at their field; those that cannot be are checks."""

from __future__ import annotations

from installs.lift.cases import Figures
from sitecalc.checks import Check, readable
from sitecalc.inputs import InputError
from sitecalc.lift.hanging import outline
from sitecalc.lift.plausible import (
    head_sail_check,
    soil_check,
    steel_checks,
    tower_sail_check,
    weight_check,
)


def plausible_checks(f: Figures) -> list[Check]:
    """Weight, area and bearing against what tower, turbine and soil can be."""
    sections, typed = f.given.get("sections") or [], f.typed
    sail = (
        tower_sail_check(f.known.sail_ft2, outline(f.own_corners))
        if f.is_tower
        else head_sail_check(typed.sail_ft2, f.given.get("sail_ft2"))
    )
    return [
        *steel_checks([s["weight_lb"] for s in sections], f.given.get("steel_lb") or []),
        *weight_check(typed.weight_lb, f.given.get("weight_lb")),
        *sail,
        *soil_check(f.known.soil_psf, f.known.soil_class),
    ]


def refuse_contradictions(f: Figures) -> None:
    """InputError at the figure that cannot stand beside the others. Of drafts only: a release is read."""
    _refuse_two_answers(f)
    _refuse_laxer(f)
    if f.typed.block_lb == 0:
        raise InputError(
            "block_lb", "is 0 lb: a hook block weighs something. A ball alone is its weight here."
        )
    if (f.typed.foot_ft or 0.0) < 0 and not (f.inputs.get("notes") or {}).get("foot_ft"):
        raise InputError(
            "foot_ft",
            f"is {readable(-(f.typed.foot_ft or 0.0))} ft below the crane's grade. If so, say in its note "
            "who leveled it.",
        )


def _refuse_two_answers(f: Figures) -> None:
    line, none = f.typed.line_ft, f.typed.no_line_ft
    if line is not None and none is not None and line < none:
        raise InputError(
            "no_line_ft",
            f"says no line within {readable(none)} ft, and above stands one {readable(line)} ft off.",
        )


def _refuse_laxer(f: Figures) -> None:
    """A lift may be stricter than its firm, never laxer."""
    for name in ("critical_percent", "most_percent"):
        typed, firm = getattr(f.typed, name), f.given.get(name)
        if typed is not None and firm is not None and typed > firm:
            raise InputError(
                name, f"is {typed:g} %; the firm's limit is {firm:g} %, and a lift is never laxer."
            )
