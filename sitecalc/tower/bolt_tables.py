"""Bolt tables: threads, grades, pretension, nut factors, turn of nut. Read once from ``sitecalc/tables``."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from sitecalc.checks import Known, Step
from sitecalc.formula import Formula
from sitecalc.inputs import InputError

FOLDER = Path(__file__).resolve().parent.parent / "tables"

Thread = Literal["coarse", "fine"]
Grade = Literal["SAE 2", "SAE 5", "SAE 8", "A325", "A490", "8.8", "10.9", "12.9"]
Condition = Literal["plain and dry", "lubricated", "zinc plated", "waxed", "hot-dip galvanized, dry"]
Edition = Literal["AISC 360-05", "AISC 360-16"]
Faces = Literal["both faces normal", "one face sloped", "both faces sloped"]

STRUCTURAL = ("A325", "A490")
MM_PER_IN = 25.4
KSI_PER_MPA = 1 / 6.894757

INCH_AREA = Formula("As", "stress area", "0.7854*(D-0.9743/n)**2", "in2")
METRIC_AREA = Formula("As", "stress area", "0.7854*(d-0.9382*P)**2", "mm2")
IN_INCHES = Formula("As", "stress area", "As_mm2/25.4**2", "in2")


@dataclass(frozen=True)
class Threaded:
    """Diameter and stress area, both in inches whatever the size's system."""

    size: str
    diameter_in: float
    stress_area_in2: float


@dataclass(frozen=True)
class Strength:
    proof_ksi: float
    tensile_ksi: float
    source: str
    known: Known


@dataclass(frozen=True)
class NutFactor:
    k: float
    source: str
    known: Known


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of table ``name``; lines that begin with # say source and edition."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(line for line in file if not line.startswith("#")))


def sizes() -> tuple[str, ...]:
    """Sizes of the thread table as the trade writes them: "3/4", "1-1/8", "M20"."""
    return tuple(row["size"] for row in rows("bolt_threads"))


def inch_stress_area_in2(diameter_in: float, threads_per_in: float) -> float:
    """Stress area of an inch thread, in2, from the diameter in in and the threads per inch.

    As = 0.7854 (D - 0.9743 / n)^2, 60 degree threads of the Unified series. ASME B1.1.
    """
    return INCH_AREA.value(D=diameter_in, n=threads_per_in)


def metric_stress_area_mm2(diameter_mm: float, pitch_mm: float) -> float:
    """Stress area of a metric thread, mm2, from diameter and pitch in mm.

    As = 0.7854 (d - 0.9382 P)^2, ISO metric threads. ISO 898-1.
    """
    return METRIC_AREA.value(d=diameter_mm, P=pitch_mm)


def thread(size: str, series: str = "coarse") -> Threaded:
    """Diameter and stress area of a size; InputError at ``size`` if the table does not hold it."""
    row = _thread_row(size, series)
    diameter, pitch = float(row["diameter"]), float(row[series])
    if row["system"] == "mm":
        area = IN_INCHES.value(As_mm2=metric_stress_area_mm2(diameter, pitch))
        return Threaded(size, diameter / MM_PER_IN, area)
    return Threaded(size, diameter, inch_stress_area_in2(diameter, pitch))


def stress_area_steps(size: str, series: str) -> tuple[Step, ...]:
    """The stress area of a size worked out, the last line in in2; InputError as of :func:`thread`."""
    row = _thread_row(size, series)
    diameter, pitch = float(row["diameter"]), float(row[series])
    if row["system"] == "mm":
        metric = METRIC_AREA.step(d=diameter, P=pitch)
        return metric, IN_INCHES.step(As_mm2=metric.value)
    return (INCH_AREA.step(D=diameter, n=pitch),)


def _thread_row(size: str, series: str) -> dict[str, str]:
    row = next((row for row in rows("bolt_threads") if row["size"] == size), None)
    if row is None:
        raise InputError("size", f"{size!r} is not in the thread table; sizes are {', '.join(sizes())}.")
    if not row[series]:
        raise InputError("series", f"{size} has no {series} thread in the table.")
    return row


def strength(grade: str, size: str) -> Strength:
    """Proof and tensile stress of a grade at a size; InputError where the standard has none."""
    row = next(row for row in rows("bolt_threads") if row["size"] == size)
    for entry in rows("bolt_grades"):
        if entry["grade"] != grade:
            continue
        if entry["system"] != row["system"]:
            raise InputError("grade", f"{grade} is not a grade of {size}: inch and metric do not mix.")
        if float(row["diameter"]) <= float(entry["upto"]):
            per = KSI_PER_MPA if entry["system"] == "mm" else 1.0
            known = Known(entry["known"])
            return Strength(
                float(entry["proof"]) * per, float(entry["tensile"]) * per, entry["source"], known
            )
    raise InputError("grade", f"the table has no {grade} of size {size}.")


def nut_factor(condition: str) -> NutFactor:
    """K by the state of the threads."""
    row = next((row for row in rows("bolt_nut_factor") if row["condition"] == condition), None)
    if row is None:
        raise InputError("condition", f"{condition!r} is not in the table of nut factors.")
    return NutFactor(float(row["k"]), row["source"], Known(row["known"]))


def pretension_kip(grade: str, size: str, edition: str) -> float:
    """Minimum pretension of a structural joint; InputError where the table has none."""
    for row in rows("bolt_pretension"):
        if row["edition"] == edition and row["size"] == size and grade in STRUCTURAL:
            return float(row[grade.lower()])
    raise InputError("size", f"{edition} Table J3.1 has no pretension for {grade} of size {size}.")


def turn_of_nut(length_in: float, diameter_in: float, faces: str) -> float | None:
    """Rotation from snug in turns; None beyond 12 diameters, where the table ends and a test decides.

    length_in, diameter_in
        of the bolt, in.
    faces
        a column of the table: both normal, one or both sloped.

    RCSC Specification for Structural Joints, turn-of-nut table (read in secondary copies).
    """
    for row in rows("bolt_turn_of_nut"):
        if length_in <= float(row["upto_diameters"]) * diameter_in + 1e-9:
            return float(row[faces])
    return None
