"""Soils, bars and anchor bolts, read once from ``sitecalc/tables``; sources stand in the files' heads."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "tables"
PRESUMPTIVE = "IBC table 1806.2"


@dataclass(frozen=True, kw_only=True)
class SoilValues:
    """Allowable, unfactored; None where the table gives no value."""

    soil_class: str
    bearing_psf: float | None
    friction: float | None
    cohesion_psf: float | None


@dataclass(frozen=True, kw_only=True)
class BarValues:
    diameter_in: float
    area_in2: float
    weight_lb_ft: float


@dataclass(frozen=True, kw_only=True)
class BoltValues:
    diameter_in: float
    threads_per_in: float
    stress_area_in2: float


@cache
def soils() -> dict[str, SoilValues]:
    """Presumptive values by soil, psf; IBC table 1806.2."""
    return {
        row["soil"]: SoilValues(
            soil_class=row["class"],
            bearing_psf=_number(row["bearing_psf"]),
            friction=_number(row["friction"]),
            cohesion_psf=_number(row["cohesion_psf"]),
        )
        for row in rows("soil.csv")
    }


@cache
def bars() -> dict[str, BarValues]:
    """Diameter in in, area in in2 and weight in lb/ft of the bars of ASTM A615."""
    return {
        row["size"]: BarValues(
            diameter_in=float(row["diameter_in"]),
            area_in2=float(row["area_in2"]),
            weight_lb_ft=float(row["weight_lb_ft"]),
        )
        for row in rows("rebar.csv")
    }


@cache
def anchor_bolts() -> dict[str, BoltValues]:
    """Diameter in in, threads an inch and stress area in in2 of the anchor bolts."""
    return {
        row["size"]: BoltValues(
            diameter_in=float(row["diameter_in"]),
            threads_per_in=float(row["threads_per_in"]),
            stress_area_in2=float(row["stress_area_in2"]),
        )
        for row in rows("anchor_bolts.csv")
    }


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table of this part, by the names in its head."""
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    # a bar size begins with "#" as a comment does; a comment has a blank behind it
    return list(csv.DictReader(line for line in lines if line.strip() and not line.startswith("# ")))


def _number(text: str) -> float | None:
    return float(text) if text else None
