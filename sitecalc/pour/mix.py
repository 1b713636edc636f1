"""The mix as ordered against what its exposure and the foundation ask."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from sitecalc.checks import Check, Known, compare, not_checked
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.pour.strength import LAW, required_psi

Exposure = Literal["F0", "F1", "F2", "F3"]
EXPOSURES = ("F0", "F1", "F2", "F3")
TABLES = Path(__file__).parents[1] / "tables"
AIR_SOURCE = "ACI 318-19 table 19.3.3.1, read in a secondary copy"
STRENGTH_SOURCE = "ACI 318-19 table 19.3.2.1, read in a secondary copy"
RICH_PSI = 5000.0  # above this specified strength one percent less air is allowed


@dataclass(frozen=True)
class MixCase:
    fc_psi: float = quantity("psi", "specified strength of the mix ordered", low=1000, high=12000)
    foundation_fc_psi: float | None = quantity("psi", "f'c of the foundation's release", low=1000, high=12000)
    exposure: Exposure = quantity("", "freeze-thaw exposure class, F0 to F3")
    aggregate_in: float = quantity("in", "nominal maximum aggregate size", low=0.375, high=3)
    air_pct: float = quantity("%", "air content ordered", low=0, high=10)
    w_cm: float | None = quantity("", "water-cementitious ratio", low=0.2, high=0.8, default=None)
    erection_psi: float | None = quantity(
        "psi", "strength the engineer requires for erection loads", low=500, high=12000, default=None
    )


@dataclass(frozen=True)
class Mix:
    required_psi: float
    target_air_pct: float | None
    checks: tuple[Check, ...]


@cache
def _rows(name: str) -> tuple[dict[str, str], ...]:
    lines = (TABLES / name).read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


def aggregate_sizes() -> tuple[float, ...]:
    return tuple(float(row["aggregate_in"]) for row in _rows("air_content.csv"))


def target_air(exposure: str, aggregate_in: float, fc_psi: float) -> float | None:
    """Air content, %, that the exposure asks of this aggregate; None where it asks for none."""
    if exposure == "F0":
        return None
    for row in _rows("air_content.csv"):
        if abs(float(row["aggregate_in"]) - aggregate_in) < 1e-6:
            target = float(row["f1_pct" if exposure == "F1" else "f2_f3_pct"])
            return target - 1.0 if fc_psi > RICH_PSI else target
    sizes = ", ".join(f"{size:g}" for size in aggregate_sizes())
    raise InputError("aggregate_in", f"is not a size of the table: {sizes} in.")


def mix(case: MixCase) -> Mix:
    """Checks of the mix as ordered. InputError for an aggregate size that is not in the table."""
    require_valid(case)
    target = target_air(case.exposure, case.aggregate_in, case.fc_psi)
    needed = required_psi(case.fc_psi, case.erection_psi)
    checks = (
        _against_foundation(case),
        *_exposure(case),
        _air(case, target),
        compare(
            "lift within specified", "Lift strength", demand=needed, capacity=case.fc_psi, unit="psi",
            source=LAW, known=Known.READ,
            note=f"{needed:,.0f} psi before the tower is set, {case.fc_psi:,.0f} psi specified",
        ),
    )  # fmt: skip
    return Mix(needed, target, checks)


def _against_foundation(case: MixCase) -> Check:
    key, title, source = "mix strength", "Mix strength", "foundation release of this job"
    if case.foundation_fc_psi is None:
        why = f"{case.fc_psi:,.0f} psi ordered; the foundation is not released, its f'c is not known"
        return not_checked(key, title, why, source=source, known=Known.READ, unit="psi")
    note = f"{case.fc_psi:,.0f} psi ordered, the foundation asks {case.foundation_fc_psi:,.0f} psi"
    return compare(
        key, title, demand=case.foundation_fc_psi, capacity=case.fc_psi, unit="psi", source=source,
        known=Known.READ, note=note,
    )  # fmt: skip


def _exposure(case: MixCase) -> tuple[Check, ...]:
    row = next(r for r in _rows("exposure_strength.csv") if r["exposure"] == case.exposure)
    least = float(row["fc_psi"])
    known = Known.MEMORY if case.exposure == "F0" else Known.READ
    checks = [
        compare(
            "exposure strength", "Strength for the exposure", demand=least, capacity=case.fc_psi, unit="psi",
            source=STRENGTH_SOURCE, known=known, case=case.exposure,
            note=f"{case.fc_psi:,.0f} psi, exposure {case.exposure} asks {least:,.0f} psi",
        )
    ]  # fmt: skip
    if row["w_cm"]:
        most = float(row["w_cm"])
        if case.w_cm is None:
            why = f"water-cementitious ratio not given; exposure {case.exposure} allows {most:.2f}"
            unknown = not_checked(
                "w/cm", "Water-cementitious ratio", why, source=STRENGTH_SOURCE, known=known
            )
            checks.append(unknown)
        else:
            checks.append(
                compare(
                    "w/cm", "Water-cementitious ratio", demand=case.w_cm, capacity=most, unit="",
                    source=STRENGTH_SOURCE, known=known, case=case.exposure,
                    note=f"{case.w_cm:.2f} of at most {most:.2f}, exposure {case.exposure}",
                )
            )  # fmt: skip
    return tuple(checks)


def _air(case: MixCase, target: float | None) -> Check:
    if target is None:
        return compare(
            "air ordered", "Air content", demand=0, capacity=case.air_pct or 1.0, unit="%", source=AIR_SOURCE,
            known=Known.READ, case=case.exposure, note=f"exposure {case.exposure} asks for none",
        )  # fmt: skip
    return compare(
        "air ordered", "Air content", demand=target, capacity=case.air_pct, unit="%", source=AIR_SOURCE,
        known=Known.READ, case=case.exposure,
        note=f"{case.air_pct:g} % ordered, exposure {case.exposure} with {case.aggregate_in:g} in stone asks "
        f"{target:g} %",
    )  # fmt: skip
