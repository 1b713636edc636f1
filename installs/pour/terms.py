"""What a pour is held to, trucks and cure: the figures of a release, or of the draft while there is none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sitecalc.cases import drawn_from
from sitecalc.figures import declared, read
from sitecalc.foundation.take_off import CUBIC_FEET_PER_YARD, Delivery, DeliveryCase, delivery
from sitecalc.pour.calibration import Calibrated, CalibrationCase, calibrate
from sitecalc.pour.cold import Cold, ColdCase, cold_weather
from sitecalc.pour.figures import PourFigures
from sitecalc.pour.forecast import Expected
from sitecalc.pour.maturity import MixMaturity
from sitecalc.pour.placing import TruckLimits
from sitecalc.pour.sampling import Layers, LayersCase, layers
from sitecalc.pour.strength import required_psi
from sitecalc.pour.thermal import Kept

# what holds while no release says otherwise: the declared defaults
UNSAID: Mapping[str, Any] = {f.name: f.default for f in declared(PourFigures)}


@dataclass(frozen=True)
class PourTerms:
    """The pour's figures, and the foundation's that they are judged with (``pad``, as pour/pad.py gives it).

    ``letter`` is that of the release, empty for a draft.
    """

    figures: PourFigures
    pad: Mapping[str, Any]
    letter: str = ""

    @property
    def required_psi(self) -> float | None:
        """Field-cured strength before the tower is set; None while the mix is not known."""
        fc = self.figures.fc_psi
        return None if fc is None else required_psi(fc, self.figures.erection_psi)

    @property
    def sensors(self) -> tuple[str, ...]:
        """Names of the sensors in the pad, each once."""
        names = (" ".join(name.lower().split()) for name in self.figures.sensors.split(","))
        return tuple(dict.fromkeys(name for name in names if name))

    @property
    def curing_days(self) -> float:
        least: float = UNSAID["curing_days"]
        return max(self.figures.curing_days, least)

    @property
    def net_yd3(self) -> float | None:
        volume = self.pad.get("volume_ft3")
        return volume / CUBIC_FEET_PER_YARD if volume else None

    def calibrated(self) -> Calibrated | None:
        """Strength by maturity of this mix; None while no pair is given. InputError for pairs that fall."""
        return calibrate(drawn_from(CalibrationCase, self.figures)) if self.figures.pairs else None

    def cold(
        self, air_f: float | None, thawed: Mapping[str, float] | None = None, kept: Kept | None = None
    ) -> Cold | None:
        """Limits in the weather; ``thawed`` are the temperatures of ground, form and steel as read.

        ``kept`` is how long the pad was read warm enough.
        """
        if self.least_dimension_in is None:
            return None
        read = thawed or {}
        return cold_weather(
            drawn_from(
                ColdCase,
                self.figures,
                least_dimension_in=self.least_dimension_in,
                air_f=air_f,
                ground_f=read.get("ground"),
                form_f=read.get("form"),
                steel_f=read.get("steel"),
                kept_days=kept.days if kept else None,
                fell=kept is not None and kept.fell,
            )
        )

    def layers(self) -> Layers | None:
        thick, net = self.pad.get("thickness_in"), self.net_yd3
        if not thick or not net:
            return None
        return layers(drawn_from(LayersCase, self.figures, thickness_in=thick, yards=net))

    @property
    def least_dimension_in(self) -> float | None:
        own = self.figures.least_dimension_in
        return self.pad.get("thickness_in") if own is None else own

    @property
    def mix(self) -> MixMaturity:
        return drawn_from(MixMaturity, self.figures)

    @property
    def f28_psi(self) -> float | None:
        expected = self.figures.expected_28_psi
        return self.figures.fc_psi if expected is None else expected

    @property
    def curve(self) -> tuple[float, float]:
        return self.figures.curve_a_days, self.figures.curve_b

    def limits(self, water_gal: float | None = None) -> TruckLimits | None:
        """What a truck is held to; None while the section's least dimension is not known."""
        if self.least_dimension_in is None:
            return None
        return drawn_from(
            TruckLimits, self.figures, least_dimension_in=self.least_dimension_in, water_gal=water_gal
        )

    def order(self) -> Delivery | None:
        """Yards to order for the pad of the foundation's release; None while it is not released."""
        volume = self.pad.get("volume_ft3")
        if volume is None:
            return None
        figures = self.figures
        return delivery(
            DeliveryCase(
                volume_ft3=volume,
                waste_pct=figures.waste_pct,
                step_yd3=figures.order_step_yd3,
                truck_yd3=figures.truck_yd3,
            )
        )

    def expected(self, poured_on: date) -> Expected | None:
        """Expected temperatures of the place; None unless twelve months are given."""
        figures = self.figures
        if not figures.normals:
            return None
        held_through = poured_on + timedelta(days=round(figures.protection_days))
        return drawn_from(Expected, figures, normals_f=figures.normals[0].means, held_through=held_through)


def terms_of(inputs: Mapping[str, Any], letter: str = "") -> PourTerms:
    """From the inputs of a draft or a release."""
    return PourTerms(read(PourFigures, inputs), inputs.get("foundation") or {}, letter)
