"""The mix as ordered against what its exposure and the foundation ask."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sitecalc.cases import ranged_as, same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.inputs import InputError, require_valid
from sitecalc.pour.figures import PourFigures
from sitecalc.pour.strength import LAW, required_psi
from sitecalc.pour.words import Exposure

EXPOSURES = ("F0", "F1", "F2", "F3")
TABLES = Path(__file__).parents[1] / "tables"
AIR_SOURCE = "ACI 318-19 table 19.3.3.1 (clause not verified)"
STRENGTH_SOURCE = "ACI 318-19 table 19.3.2.1 (clause not verified)"

LIFT_WITHIN = Rule("lift within specified", "Lift strength", "psi", LAW, Known.READ)
MIX_STRENGTH = Rule("mix strength", "Mix strength", "psi", "foundation release of this job", Known.READ)
EXPOSED = Rule("exposure strength", "Strength for the exposure", "psi", STRENGTH_SOURCE, Known.READ)
W_CM = Rule("w/cm", "Water-cementitious ratio", "", STRENGTH_SOURCE, Known.READ)
AIR = Rule("air ordered", "Air content", "%", AIR_SOURCE, Known.READ)

RICH_PSI = 5000.0  # above this specified strength one percent less air is allowed


@dataclass(frozen=True, kw_only=True)
class MixCase:
    fc_psi: float = same_as(PourFigures, "fc_psi", required=True)
    foundation_fc_psi: float | None = ranged_as(
        FoundationFigures, "fc_psi", "f'c of the foundation's release"
    )
    exposure: Exposure = same_as(PourFigures, "exposure", required=True)
    aggregate_in: float = same_as(PourFigures, "aggregate_in", required=True)
    air_pct: float = same_as(PourFigures, "air_pct", required=True)
    w_cm: float | None = same_as(PourFigures, "w_cm")
    erection_psi: float | None = same_as(PourFigures, "erection_psi")


@dataclass(frozen=True, kw_only=True)
class Mix:
    required_psi: float
    target_air_pct: float | None
    checks: tuple[Check, ...]


@cache
def _rows(name: str) -> tuple[dict[str, str], ...]:
    lines = (TABLES / name).read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


def aggregate_sizes() -> tuple[float, ...]:
    """Nominal maximum sizes of the table, in. ACI 318-19 table 19.3.3.1."""
    return tuple(float(row["aggregate_in"]) for row in _rows("air_content.csv"))


def target_air(exposure: str, aggregate_in: float, fc_psi: float) -> float | None:
    """Air content, %, that the exposure asks of this aggregate; None where it asks for none.

    aggregate_in, fc_psi
        nominal maximum size, in; specified strength, psi: over 5,000 psi one percent less.

    InputError for a size that is not in the table. ACI 318-19 table 19.3.3.1.
    """
    if exposure == "F0":
        return None
    for row in _rows("air_content.csv"):
        if abs(float(row["aggregate_in"]) - aggregate_in) < 1e-6:
            target = float(row["f1_pct" if exposure == "F1" else "f2_f3_pct"])
            return target - 1.0 if fc_psi > RICH_PSI else target
    sizes = ", ".join(f"{size:g}" for size in aggregate_sizes())
    raise InputError("aggregate_in", f"is not a size of the table: {sizes} in.")


def mix(case: MixCase) -> Mix:
    """Strength (psi), water and air (%) of the mix as ordered against exposure, foundation and tower lift.

    InputError for an aggregate size that is not in the table. ACI 318-19 tables 19.3.2.1 and 19.3.3.1, 29 CFR
    1926.752.
    """
    require_valid(case)
    target = target_air(case.exposure, case.aggregate_in, case.fc_psi)
    needed = required_psi(case.fc_psi, case.erection_psi)
    checks = (
        _against_foundation(case),
        *_exposure(case),
        _air(case, target),
        LIFT_WITHIN.compare(
            demand=needed,
            capacity=case.fc_psi,
            note=f"{needed:,.0f} psi before the tower is set, {case.fc_psi:,.0f} psi specified",
        ),
    )
    return Mix(required_psi=needed, target_air_pct=target, checks=checks)


def _against_foundation(case: MixCase) -> Check:
    if case.foundation_fc_psi is None:
        return MIX_STRENGTH.open(
            f"{case.fc_psi:,.0f} psi ordered; the foundation is not released, its f'c is not known"
        )
    return MIX_STRENGTH.compare(
        demand=case.foundation_fc_psi,
        capacity=case.fc_psi,
        note=f"{case.fc_psi:,.0f} psi ordered, the foundation asks {case.foundation_fc_psi:,.0f} psi",
    )


def _of_exposure(rule: Rule, exposure: str) -> Rule:
    """The row of F0 was not read."""
    return rule.stated(known=Known.MEMORY) if exposure == "F0" else rule


def _exposure(case: MixCase) -> tuple[Check, ...]:
    row = next(r for r in _rows("exposure_strength.csv") if r["exposure"] == case.exposure)
    least = float(row["fc_psi"])
    strong = _of_exposure(EXPOSED, case.exposure).compare(
        demand=least,
        capacity=case.fc_psi,
        case=case.exposure,
        note=f"{case.fc_psi:,.0f} psi, exposure {case.exposure} asks {least:,.0f} psi",
    )
    return (strong, _water(case, float(row["w_cm"]))) if row["w_cm"] else (strong,)


def _water(case: MixCase, most: float) -> Check:
    rule = _of_exposure(W_CM, case.exposure)
    if case.w_cm is None:
        return rule.open(f"water-cementitious ratio not given; exposure {case.exposure} allows {most:.2f}")
    return rule.compare(
        demand=case.w_cm,
        capacity=most,
        case=case.exposure,
        note=f"{case.w_cm:.2f} of at most {most:.2f}, exposure {case.exposure}",
    )


def _air(case: MixCase, target: float | None) -> Check:
    if target is None:
        return AIR.not_asked(f"exposure {case.exposure} asks for none")
    return AIR.compare(
        demand=target,
        capacity=case.air_pct,
        case=case.exposure,
        note=f"{case.air_pct:g} % ordered, exposure {case.exposure} with {case.aggregate_in:g} in stone asks "
        f"{target:g} %",
    )
