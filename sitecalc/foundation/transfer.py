"""The share of an unbalanced moment that bending hands over near a pedestal or tube, ACI 318-19, 8.4.2.2."""

from __future__ import annotations

import numpy as np

from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula, looked_up
from sitecalc.foundation.flexure import bending_strength
from sitecalc.foundation.pad_forces import Factored
from sitecalc.foundation.punching import Punching
from sitecalc.foundation.rebar import Mat
from sitecalc.foundation.strength_case import (
    Stand,
    StrengthCase,
    crossing_bars,
    layer_depth_in,
    width_ft,
)

TRANSFER = Rule(
    "moment transfer", "Moment handed to the pad", "kip-ft", "ACI 318-19, 8.4.2.2", Known.SECONDARY
)
HANDED = Formula("gf M", "share handed over by bending, gf = 1 / (1 + 2/3 sqrt(b1 / b2))", "gf*M", "kip-ft")
STRIP = Formula("b", "strip, no wider than the pad", "min(a + 3*h, B)", "ft")


def moment_transfer(case: StrengthCase, stand: Stand, found: Factored, worked: Punching) -> Check:
    """gamma_f M in kip-ft on the strip 1.5 h to each side; lower mat pressed side, upper mat lifted side.

    gamma_f = 1 / (1 + 2/3 sqrt(b1 / b2)). ACI 318-19, 8.4.2.2 (read in secondary copies).
    """
    moments = np.stack((np.abs(worked.moment_x_kip_ft[:, 0]), np.abs(worked.moment_y_kip_ft[:, 0])), axis=1)
    gamma = 1 - worked.sections.gamma_v[0]
    strips = [strip_ft(case, stand, axis) for axis in (0, 1)]
    held = np.array([_held(case, strip, axis) for axis, strip in enumerate(strips)])
    ratio = gamma * moments / np.maximum(held.sum(axis=1), 1e-9)
    row, axis = divmod(int(np.argmax(ratio >= ratio.max() * (1 - 1e-9))), 2)
    moment, blows = float(moments[row, axis]), found.names[row]
    handed, capacity = HANDED.step(gf=float(gamma[axis]), M=moment), float(held[axis].sum())
    strip = strip_step(case, stand, axis)
    said = f"{readable(handed.value)} of {readable(capacity)} kip-ft on {readable(round(strip.value, 2))} ft"
    by_bars = "phi As fy (d - a/2)", "bars on that strip"
    return TRANSFER.compare(
        demand=handed.value,
        capacity=capacity,
        case=blows,
        note=f"{said}, {blows}.",
        steps=(
            looked_up(
                "M",
                "moment about the critical section",
                "M - soil within it",
                "contact polygon",
                moment,
                "kip-ft",
            ),
            handed,
            strip,
            looked_up("phi Mn-", "upper mat on that strip", *by_bars, float(held[axis, 1]), "kip-ft"),
            looked_up("phi Mn+", "lower mat on that strip", *by_bars, float(held[axis, 0]), "kip-ft"),
        ),
    )


def strip_ft(case: StrengthCase, stand: Stand, axis: int) -> float:
    """Width of the strip in ft: 1.5 h to each side of what stands there, within the pad at the face."""
    return strip_step(case, stand, axis).value


def strip_step(case: StrengthCase, stand: Stand, axis: int) -> Step:
    """The width of :func:`strip_ft` with its arithmetic."""
    return STRIP.step(a=stand.side_ft, h=case.pad.thickness_ft, B=width_ft(case, axis, stand.side_ft / 2))


def _held(case: StrengthCase, strip: float, axis: int) -> tuple[float, float]:
    """Design strengths of lower and upper mat on the strip; bars lie evenly."""
    share = strip / width_ft(case, axis, 0.0)

    def of(mat: Mat) -> float:
        depth, mats = layer_depth_in(case, mat, axis), case.mats
        steel = crossing_bars(case, mat, axis, 0.0) * mats.bar_of(mat).area_in2
        return bending_strength(12 * strip, depth, share * steel, mats.fc_psi, mats.yield_ksi).design_kip_ft

    return of("lower"), of("upper")
