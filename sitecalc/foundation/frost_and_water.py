"""What cold and water do to a pad: frost under it, buoyancy lifting it."""

from __future__ import annotations

from sitecalc.checks import Check, Known, Step, compare, not_checked, readable
from sitecalc.foundation.pad import PadCase, Weights

FROST = "IBC 1809.5; frost depth as the building official gives it"


def buoyancy(case: PadCase, found: Weights) -> Check:
    """The push of the highest water against the least dead load; unknown water is not checked."""
    source = "water 62.4 pcf; 0.6D of ASCE 7-16, 2.4.1"
    if case.water_ft is None or case.dead_kip is None:
        why = (
            "Highest water is not given. Counts as not passing."
            if case.water_ft is None
            else "The dead load of tower and turbine is not given."
        )
        return not_checked("buoyancy", "Buoyancy", why, source=source, known=Known.MEMORY, unit="kip")
    held = found.dead(backfilled=case.backfill_placed)
    depth = max(0.0, case.bottom_ft - case.water_ft)
    where = "at or below the underside" if depth == 0 else f"{readable(depth)} ft above the underside"
    return compare(
        "buoyancy",
        "Buoyancy",
        demand=found.uplift,
        capacity=0.6 * held,
        unit="kip",
        source=source,
        known=Known.MEMORY,
        case="highest water, no wind",
        note=f"{readable(found.uplift)} of {readable(0.6 * held)} kip, highest water {where}.",
        steps=(
            Step(
                "U",
                "push of the water",
                "62.4 A h",
                f"62.4 x {case.area_ft2:,.1f} x {depth:g} / 1000",
                found.uplift,
                "kip",
            ),
            Step("R", "least dead load", "0.6 D", f"0.6 x {held:.2f}", 0.6 * held, "kip"),
        ),
    )


def frost(case: PadCase) -> Check:
    """The underside below the frost line of the locality; there is no national formula for it."""
    if case.frost_ft is None:
        why = "The frost depth of the locality is not given; the building official knows it."
        return not_checked("frost", "Frost depth", why, source=FROST, known=Known.MEMORY, unit="ft")
    return compare(
        "frost",
        "Frost depth",
        demand=case.frost_ft,
        capacity=case.bottom_ft,
        unit="ft",
        source=FROST,
        known=Known.MEMORY,
        note=(
            f"Bottom of pad {readable(case.bottom_ft)} ft below grade, {readable(case.frost_ft)} ft required."
        ),
        steps=(
            Step(
                "h",
                "underside below grade",
                "t - top above grade",
                f"{case.thickness_ft:g} - {case.top_above_grade_ft:g}",
                case.bottom_ft,
                "ft",
            ),
        ),
    )
