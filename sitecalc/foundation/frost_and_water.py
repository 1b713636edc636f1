"""What cold and water do to a pad: frost under it, buoyancy lifting it."""

from __future__ import annotations

from sitecalc.checks import Check, Known, Rule, readable
from sitecalc.formula import Formula
from sitecalc.foundation.pad import UPLIFT, PadCase, Weights

BUOYANCY = Rule("buoyancy", "Buoyancy", "kip", "ASCE 7-16, 2.4.1: 0.6D; water 62.4 pcf", Known.SECONDARY)
FROST = Rule(
    "frost",
    "Frost depth",
    "ft",
    "IBC 1809.5; frost depth as the building official gives it",
    Known.SECONDARY,  # as Minnesota Rules 1305.1809 (2015) print it
)
HELD = Formula("R", "least dead load", "0.6*D", "kip")
BELOW_GRADE = Formula("h", "underside below grade", "t - top", "ft", {"top": "top above grade"})


def buoyancy(case: PadCase, found: Weights) -> Check:
    """The push of the highest water against the least dead load; unknown water is not checked.

    62.4 A h / 1000 <= 0.6 D, kip, with D of what lies on the pad. ASCE 7-16, 2.4.1 (read in secondary
    copies).
    """
    if case.water_ft is None:
        return BUOYANCY.open("Highest water is not given. Counts as not passing.")
    if case.dead_kip is None:
        return BUOYANCY.open("The dead load of tower and turbine is not given.")
    depth = max(0.0, case.bottom_ft - case.water_ft)
    push = UPLIFT.step(A=case.area_ft2, h=depth)
    held = HELD.step(D=found.dead(backfilled=case.backfill_placed))
    where = "at or below the underside" if depth == 0 else f"{readable(depth)} ft above the underside"
    return BUOYANCY.compare(
        demand=push.value,
        capacity=held.value,
        case="highest water, no wind",
        note=f"{readable(push.value)} of {readable(held.value)} kip, highest water {where}.",
        steps=(push, held),
    )


def frost(case: PadCase) -> Check:
    """The underside below the frost line of the locality; there is no national formula for it."""
    if case.frost_ft is None:
        return FROST.open("The frost depth of the locality is not given; ask the building official.")
    bottom = BELOW_GRADE.step(t=case.thickness_ft, top=case.top_above_grade_ft)
    return FROST.compare(
        demand=case.frost_ft,
        capacity=bottom.value,
        note=(
            f"Bottom of pad {readable(bottom.value)} ft below grade, {readable(case.frost_ft)} ft required."
        ),
        steps=(bottom,),
    )
