"""Distance of crane, boom and load to power lines."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import LiftFigures

TABLE_A = (
    "29 CFR 1926.1408 Table A and 1926.1408(a), 1926.1409: 20 ft, over 350 kV 50 ft, unless Table A is kept"
)
POWER_LINE = Rule("power-line", "Power line", "ft", TABLE_A, Known.READ)
REACH = Formula("r", "what may swing toward the line", "R+beyond+drift+out", "ft")
NEAREST = Formula("d", "nearest approach", "distance-r", "ft")
_TABLE = Path(__file__).parent.parent / "tables" / "power_line_clearance.csv"


@dataclass(frozen=True, kw_only=True)
class LineCase:
    """In plan from the center of rotation: the nearest line, or within what there is none.

    What swings toward it is the radius and all that goes on beyond the hook line: rotor, a tower that lies,
    a tag line that is held out.
    """

    distance_ft: float | None = same_as(LiftFigures, "line_ft")
    kilovolts: float | None = same_as(LiftFigures, "line_kv")
    none_within_ft: float | None = same_as(LiftFigures, "no_line_ft")
    radius_ft: float = same_as(LiftFigures, "radius_ft", required=True)
    beyond_ft: float = same_as(LiftFigures, "beyond_ft", required=True)
    # the load in the wind
    drift_ft: float = quantity("ft", "drift of the load", low=0, high=1000, shown_at="sail_ft2")
    longest_ft: float = same_as(LiftFigures, "longest_ft", required=True, high=500)
    tag_line_ft: float = same_as(LiftFigures, "tag_line_ft", required=True)
    table_a_kept: bool = same_as(LiftFigures, "table_a_kept")

    def reach_step(self) -> Step:
        out = max(self.longest_ft, self.tag_line_ft)
        return REACH.step(R=self.radius_ft, beyond=self.beyond_ft, drift=self.drift_ft, out=out)


@dataclass(frozen=True)
class LineResult:
    nearest_ft: float | None
    required_ft: float | None
    checks: tuple[Check, ...]


@cache
def _clearances() -> tuple[tuple[float, float, float], ...]:
    lines = [line for line in _TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return tuple(
        (float(row["over_kv"]), float(row["to_kv"]), float(row["clearance_ft"]))
        for row in csv.DictReader(lines)
    )


def table_a_ft(kilovolts: float) -> float:
    """Table A clearance in ft at a nominal voltage in kV, AC.

    29 CFR 1926.1408 Table A. InputError over 1,000 kV, where the utility or a professional engineer says.
    """
    if kilovolts < 0:
        raise InputError("kilovolts", "is less than nothing.")
    for _over, to, clearance in _clearances():
        if kilovolts <= to:
            return clearance
    raise InputError(
        "kilovolts", "is over 1,000 kV: the utility or a professional engineer sets the distance."
    )


def trigger_ft(kilovolts: float) -> float:
    """Distance in ft at a voltage in kV; nearer only with Table A and the measures that go with it.

    20 ft, over 350 kV 50 ft. 29 CFR 1926.1408(a), 1926.1409.
    """
    return 20.0 if kilovolts <= 350 else 50.0


def line_clearance(case: LineCase) -> LineResult:
    """Nearest approach in ft of anything that swings: distance less reach, in plan.

    At least :func:`trigger_ft`, or :func:`table_a_ft` where its measures are kept. No distance or no voltage:
    not checked.
    """
    require_valid(case)
    if case.distance_ft is None:
        return _none_near(case)
    if case.kilovolts is None:
        return _open(
            f"Line {readable(case.distance_ft)} ft off, voltage unknown: presumed energized. Ask the utility."
        )
    if case.kilovolts > 1000:
        return _open("Over 1,000 kV the utility or a professional engineer sets the distance.")
    # the trigger is never less than Table A
    required = table_a_ft(case.kilovolts) if case.table_a_kept else trigger_ft(case.kilovolts)
    how = " by Table A, with its measures" if case.table_a_kept else ""
    return _compared(
        case.distance_ft, case.reach_step(), required, f"{readable(case.kilovolts)} kV line", how
    )


def _none_near(case: LineCase) -> LineResult:
    """No line seen: the largest trigger distance must lie inside what was looked at."""
    if case.none_within_ft is None:
        return _open("No distance to the nearest power line is recorded.")
    return _compared(
        case.none_within_ft, case.reach_step(), trigger_ft(1000), "no line within", "", seen=False
    )


def _compared(
    distance_ft: float, reach: Step, required_ft: float, what: str, how: str, *, seen: bool = True
) -> LineResult:
    nearest = NEAREST.step(distance=distance_ft, r=reach.value)
    off = f"{what} {readable(distance_ft)} ft off" if seen else f"{what} {readable(distance_ft)} ft"
    note = (
        f"{off[0].upper()}{off[1:]}: boom, load and tag lines reach {readable(reach.value)} ft and keep "
        f"{readable(max(nearest.value, 0))} ft, "
        f"at least {readable(required_ft)} ft{how}."
    )
    check = POWER_LINE.compare(demand=required_ft, capacity=nearest.value, note=note, steps=(reach, nearest))
    return LineResult(nearest.value, required_ft, (check,))


def _open(why: str) -> LineResult:
    return LineResult(None, None, (POWER_LINE.open(why),))
