"""The figures of a pour as the trucks and the cure are judged by: of a release, or of the draft."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sitecalc.inputs import InputError
from sitecalc.pour.forecast import Expected
from sitecalc.pour.maturity import MixMaturity
from sitecalc.pour.placing import Order, OrderCase, TruckLimits, order
from sitecalc.pour.strength import required_psi

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
DEFAULT_CURING_DAYS = 28.0


@dataclass(frozen=True)
class PourFigures:
    """``letter`` is that of the release, empty for a draft. ``pad`` is what the foundation gave."""

    inputs: Mapping[str, Any]
    letter: str = ""

    @property
    def pad(self) -> Mapping[str, Any]:
        return self.inputs.get("foundation") or {}

    @property
    def required_psi(self) -> float | None:
        """Field-cured strength before the tower is set; None while the mix is not known."""
        fc = self._number("fc_psi")
        return None if fc is None else required_psi(fc, self._number("erection_psi"))

    @property
    def curing_days(self) -> float:
        return max(self._number("curing_days") or DEFAULT_CURING_DAYS, DEFAULT_CURING_DAYS)

    @property
    def longest_gap_h(self) -> float:
        return self._number("longest_gap_h") or 12.0

    @property
    def least_dimension_in(self) -> float | None:
        return self._number("least_dimension_in") or self.pad.get("thickness_in")

    @property
    def mix(self) -> MixMaturity:
        return MixMaturity(self.inputs["datum_f"], self.inputs["q_k"], self.inputs["reference_f"])

    @property
    def f28_psi(self) -> float | None:
        return self._number("expected_28_psi") or self._number("fc_psi")

    @property
    def curve(self) -> tuple[float, float]:
        return self.inputs["curve_a_days"], self.inputs["curve_b"]

    def _number(self, name: str) -> float | None:
        value = self.inputs.get(name)
        return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None

    def limits(self, water_gal: float | None = None) -> TruckLimits | None:
        """What a truck is held to; None while the section's least dimension is not known."""
        if self.least_dimension_in is None:
            return None
        return TruckLimits(
            slump_in=self.inputs["slump_in"],
            air_pct=self.inputs["air_pct"],
            least_dimension_in=self.least_dimension_in,
            most_minutes=self.inputs["most_minutes"],
            slump_tolerance_in=self._number("slump_tolerance_in"),
            air_tolerance_pct=self.inputs["air_tolerance_pct"],
            highest_f=self.inputs["highest_f"],
            water_gal=water_gal,
        )

    def order(self) -> Order | None:
        """Yards to order for the pad of the foundation's release; None while it is not released."""
        volume = self.pad.get("volume_ft3")
        if volume is None:
            return None
        inputs = self.inputs
        return order(OrderCase(volume, inputs["waste_pct"], inputs["order_step_yd3"], inputs["truck_yd3"]))

    def expected(self, poured_on: date) -> Expected | None:
        """Expected temperatures of the place; None unless twelve months are given."""
        normals = normals_of(self.inputs.get("normals"))
        if normals is None:
            return None
        days = self._number("protection_days") or 0.0
        held_through = poured_on + timedelta(days=round(days))
        return Expected(normals, self._number("held_f"), held_through)


def normals_of(rows: Any) -> tuple[float, ...] | None:
    """Twelve means from the one row of the schedule."""
    if not isinstance(rows, list) or not rows or not isinstance(rows[0], Mapping):
        return None
    values = [rows[0].get(month) for month in MONTHS]
    found = tuple(float(v) for v in values if isinstance(v, (int, float)))
    return found if len(found) == 12 else None


def required(inputs: Mapping[str, Any], name: str, words: str) -> float:
    """A figure that must be given before anything can be checked."""
    value = inputs.get(name)
    if not isinstance(value, (int, float)):
        raise InputError(name, words)
    return float(value)
