"""Pour and cure: placing, curing days, maturity, strength, forecasts."""

from sitecalc.inputs import Calculation
from sitecalc.pour.calibration import SOURCE as CALIBRATION_SOURCE
from sitecalc.pour.calibration import CalibrationCase, calibrate
from sitecalc.pour.cold import SOURCE as COLD_SOURCE
from sitecalc.pour.cold import ColdCase, cold_weather
from sitecalc.pour.curing import SOURCE as CURING_SOURCE
from sitecalc.pour.curing import CuringCase, curing_days
from sitecalc.pour.forecast import ForecastCase, forecast_curing
from sitecalc.pour.maturity import SOURCE as MATURITY_SOURCE
from sitecalc.pour.maturity import MaturityCase, maturity
from sitecalc.pour.mix import STRENGTH_SOURCE, MixCase, mix
from sitecalc.pour.placing import (
    EvaporationCase,
    TruckCase,
    evaporation,
    truck,
)
from sitecalc.pour.sampling import LAYER_SOURCE, LayersCase, SamplingCase, layers, sampling
from sitecalc.pour.sampling import SOURCE as SAMPLING_SOURCE
from sitecalc.pour.strength import (
    ACCEPTANCE,
    LAW,
    AcceptanceCase,
    CurveCase,
    StrengthCase,
    acceptance,
    forecast_strength,
    strength,
)
from sitecalc.pour.thermal import SOURCE as THERMAL_SOURCE
from sitecalc.pour.thermal import ThermalCase, thermal
from sitecalc.pour.tonight import SOURCE as TONIGHT_SOURCE
from sitecalc.pour.tonight import TonightCase, tonight

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "pour.mix", "The mix as ordered", MixCase, mix, f"{STRENGTH_SOURCE}; table 19.3.3.1; 29 CFR 1926.752"
    ),
    Calculation(
        "pour.truck",
        "A truck's time, slump, air and temperature",
        TruckCase,
        truck,
        "ASTM C94; ACI 306R table 5.1; ACI 305.1 (clause not verified)",
    ),
    Calculation(
        "pour.evaporation",
        "Evaporation from the fresh surface",
        EvaporationCase,
        evaporation,
        "Uno 1998, ACI Materials Journal 95 (4) (clause not verified)",
    ),
    Calculation(
        "pour.layers",
        "Layers placed before the last one sets",
        LayersCase,
        layers,
        f"{LAYER_SOURCE} (clause not verified)",
    ),
    Calculation("pour.sampling", "Strength tests to make", SamplingCase, sampling, SAMPLING_SOURCE),
    Calculation(
        "pour.cold", "Cold weather", ColdCase, cold_weather, f"{COLD_SOURCE} (part of it not verified)"
    ),
    Calculation(
        "pour.thermal",
        "Peak, spread and cooling of the pad",
        ThermalCase,
        thermal,
        f"{THERMAL_SOURCE}; {COLD_SOURCE} (clause not verified)",
    ),
    Calculation("pour.tonight", "What to do tonight", TonightCase, tonight, TONIGHT_SOURCE),
    Calculation(
        "pour.curing", "Curing days", CuringCase, curing_days, f"{CURING_SOURCE} (clause not verified)"
    ),
    Calculation("pour.maturity", "Maturity and equivalent age", MaturityCase, maturity, MATURITY_SOURCE),
    Calculation(
        "pour.calibration",
        "Strength by maturity, calibrated",
        CalibrationCase,
        calibrate,
        f"{CALIBRATION_SOURCE} (clause not verified)",
    ),
    Calculation("pour.strength", "Strength for the tower lift", StrengthCase, strength, LAW),
    Calculation("pour.acceptance", "Acceptance of the concrete", AcceptanceCase, acceptance, ACCEPTANCE),
    Calculation(
        "pour.curve",
        "Strength by age (forecast)",
        CurveCase,
        forecast_strength,
        "ACI 209R-92, eq. 2-1; constants read in a public test of it",
    ),
    Calculation(
        "pour.forecast",
        "When the curing days will be reached (forecast)",
        ForecastCase,
        forecast_curing,
        "curing day as this project defines it; normals as given",
    ),
)
