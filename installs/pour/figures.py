"""The figures of a pour as the trucks and the cure are judged by: of a release, or of the draft."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sitecalc.foundation.take_off import CUBIC_FEET_PER_YARD, Delivery, DeliveryCase, delivery
from sitecalc.inputs import InputError
from sitecalc.pour.calibration import Calibrated, CalibrationCase, Pair, calibrate
from sitecalc.pour.cold import Cold, ColdCase, cold_weather
from sitecalc.pour.forecast import Expected
from sitecalc.pour.maturity import MixMaturity
from sitecalc.pour.placing import TruckLimits
from sitecalc.pour.sampling import Layers, LayersCase, layers
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

    def minutes(self, name: str, otherwise: float) -> float:
        """A figure that a release made before it was asked for does not have."""
        return self._number(name) or otherwise

    @property
    def joint_minutes(self) -> float:
        return self.minutes("joint_minutes", 60.0)

    @property
    def acceptance_days(self) -> float:
        return self.minutes("acceptance_days", 28.0)

    @property
    def grout_psi(self) -> float | None:
        return self._number("grout_psi")

    @property
    def net_yd3(self) -> float | None:
        volume = self.pad.get("volume_ft3")
        return volume / CUBIC_FEET_PER_YARD if volume else None

    @property
    def protection_days(self) -> float:
        return self._number("protection_days") or 0.0

    @property
    def accelerator(self) -> str:
        return str(self.inputs.get("accelerator") or "none")

    def calibrated(self) -> Calibrated | None:
        """Strength by maturity of this mix; None while no pair is given. InputError for pairs that fall."""
        rows = self.inputs.get("pairs") or []
        pairs = tuple(Pair(float(r["age_days"]), float(r["psi"])) for r in rows)
        return calibrate(CalibrationCase(pairs)) if pairs else None

    def cold(self, air_f: float | None, thawed: Mapping[str, float] | None = None) -> Cold | None:
        """Limits in the weather; ``thawed`` are the temperatures of ground, form and steel as read."""
        if self.least_dimension_in is None:
            return None
        read = thawed or {}
        return cold_weather(
            ColdCase(
                self.least_dimension_in,
                air_f,
                read.get("ground"),
                read.get("form"),
                read.get("steel"),
                self.protection_days,
                self.accelerator,  # type: ignore[arg-type]
            )
        )

    def layers(self) -> Layers | None:
        thick, net = self.pad.get("thickness_in"), self.net_yd3
        if not thick or not net:
            return None
        return layers(
            LayersCase(
                thick,
                net,
                self.inputs["truck_yd3"],
                self.minutes("spacing_minutes", 30.0),
                self.joint_minutes,
            )
        )

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

    def order(self) -> Delivery | None:
        """Yards to order for the pad of the foundation's release; None while it is not released."""
        volume = self.pad.get("volume_ft3")
        if volume is None:
            return None
        inputs = self.inputs
        return delivery(
            DeliveryCase(
                volume,
                waste_pct=inputs["waste_pct"],
                step_yd3=inputs["order_step_yd3"],
                truck_yd3=inputs["truck_yd3"],
            )
        )

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
