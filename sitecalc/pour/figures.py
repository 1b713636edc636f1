"""The figures of the pour: mix, limits at the truck, maturity, and what the cure must reach."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.inputs import quantity
from sitecalc.pour.words import Accelerator, Exposure


@dataclass(frozen=True, kw_only=True)
class MonthsRow:
    """One mean a month."""

    jan: float = quantity("F", "Jan", low=-40, high=110, size=4)
    feb: float = quantity("F", "Feb", low=-40, high=110, size=4)
    mar: float = quantity("F", "Mar", low=-40, high=110, size=4)
    apr: float = quantity("F", "Apr", low=-40, high=110, size=4)
    may: float = quantity("F", "May", low=-40, high=110, size=4)
    jun: float = quantity("F", "Jun", low=-40, high=110, size=4)
    jul: float = quantity("F", "Jul", low=-40, high=110, size=4)
    aug: float = quantity("F", "Aug", low=-40, high=110, size=4)
    sep: float = quantity("F", "Sep", low=-40, high=110, size=4)
    oct: float = quantity("F", "Oct", low=-40, high=110, size=4)
    nov: float = quantity("F", "Nov", low=-40, high=110, size=4)
    dec: float = quantity("F", "Dec", low=-40, high=110, size=4)

    @property
    def means(self) -> tuple[float, ...]:
        return tuple(vars(self).values())


@dataclass(frozen=True, kw_only=True)
class Pair:
    """Strength of cylinders at an equivalent age."""

    age_days: float = quantity(
        "days",
        "equivalent age of the cylinders at the mix's Ts",
        low=0.1,
        high=400,
        label="Equivalent age",
    )
    psi: float = quantity("psi", "their mean strength", low=50, high=20_000, label="Mean strength")


@dataclass(frozen=True, kw_only=True)
class PourFigures:
    """Mix, its limits at the truck, its maturity constants, and what the cure must reach."""

    fc_psi: float | None = quantity(
        "psi", "specified strength f'c of the mix", low=2500, high=10_000, default=None, balloon=1
    )
    exposure: Exposure = quantity(
        "",
        "freeze-thaw exposure",
        default="F2",
        choices={"F0": "F0 no frost", "F1": "F1 moist", "F2": "F2 wet", "F3": "F3 wet, salt"},
        balloon=2,
    )
    aggregate_in: float = quantity("in", "largest stone", low=0.375, high=3, default=0.75, balloon=3)
    w_cm: float | None = quantity("", "water-cementitious ratio", low=0.2, high=0.8, default=None, balloon=4)
    slump_in: float = quantity("in", "slump ordered", low=1, high=10, default=4.0, balloon=7)
    slump_tolerance_in: float | None = quantity(
        "in", "slump tolerance", low=0.25, high=3, default=None, help="else as ASTM C94", balloon=8
    )
    air_pct: float = quantity("%", "air content ordered", low=0, high=10, default=6.0, balloon=5)
    air_tolerance_pct: float = quantity("%", "air tolerance", low=0.5, high=3, default=1.5, balloon=6)
    highest_f: float = quantity(
        "F", "highest concrete temperature", low=60, high=100, default=90.0, balloon=9
    )
    least_dimension_in: float | None = quantity(
        "in",
        "least dimension of the section",
        low=6,
        high=240,
        default=None,
        help="else the pad's thickness from the foundation",
        balloon=11,
    )
    most_minutes: float = quantity(
        "min", "batching to discharge, at most", low=15, high=180, default=90.0, balloon=10
    )
    waste_pct: float = quantity("%", "allowance for waste", low=0, high=20, default=5.0, balloon=12)
    order_step_yd3: float = quantity("yd3", "order in steps of", low=0.25, high=1, default=0.5, balloon=13)
    truck_yd3: float = quantity("yd3", "a truck carries", low=1, high=12, default=9.5, balloon=14)
    curing_days: float = quantity("days", "curing days required", low=28, high=180, default=28.0, balloon=15)
    erection_psi: float | None = quantity(
        "psi",
        "engineer's strength for erection",
        low=500,
        high=10_000,
        default=None,
        help="the tower waits for this or 75 % of f'c, whichever is more",
        balloon=16,
    )
    longest_gap_h: float = quantity(
        "h", "readings further apart leave a gap", low=0.5, high=26, default=12.0, balloon=17
    )
    protection_days: float = quantity(
        "days",
        "days kept protected from cold",
        low=0,
        high=60,
        default=6.0,
        help="blankets or heat; the forecast counts on them",
        balloon=18,
    )
    held_f: float = quantity(
        "F", "temperature held while protected", low=35, high=100, default=50.0, balloon=19
    )
    expected_28_psi: float | None = quantity(
        "psi",
        "strength expected at 28 days",
        low=1000,
        high=15_000,
        default=None,
        help="of the mix; else f'c. Used for the forecast curve only",
        balloon=20,
    )
    plant: str = quantity("", "plant, and its telephone", default="", most=80, balloon=26, of_site=True)
    mix_code: str = quantity("", "the plant's name of the mix", default="", most=40, balloon=27, of_site=True)
    accelerator: Accelerator = quantity(
        "",
        "accelerator",
        default="none",
        choices={"no chloride": "without chlorides (ASTM C494 type C or E)", "chloride": "with chlorides"},
        balloon=28,
    )
    spacing_minutes: float = quantity("min", "truck spacing", low=5, high=120, default=30.0, balloon=29)
    joint_minutes: float = quantity(
        "min",
        "longest gap between loads",
        low=15,
        high=180,
        default=60.0,
        help="longer leaves a joint, which is the engineer's decision",
        balloon=30,
    )
    inspector_notice_h: float = quantity(
        "h", "notice the inspector asks", low=0, high=240, default=24.0, balloon=31
    )
    plant_notice_h: float = quantity("h", "notice the plant asks", low=0, high=240, default=24.0, balloon=32)
    lab_notice_h: float = quantity(
        "h", "notice the testing lab asks", low=0, high=240, default=24.0, balloon=33
    )
    special_inspector: str = quantity(
        "", "special inspector, engaged by the owner", default="", most=120, balloon=34, of_site=True
    )
    acceptance_days: float = quantity(
        "days", "age of the acceptance tests", low=7, high=90, default=28.0, balloon=35
    )
    grout_psi: float | None = quantity(
        "psi",
        "strength of the grout under the base",
        low=1000,
        high=15_000,
        default=None,
        help="before the turbine and full bolt tension; blank if nothing is grouted",
        balloon=36,
    )
    sensors: str = quantity(
        "",
        "sensors in the pad",
        default="edge, top, core",
        most=60,
        help="by name, with commas between; each is to be read",
        balloon=37,
    )
    pairs: tuple[Pair, ...] = quantity(
        "", "cylinder pairs of the maturity calibration", default=(), of_site=True
    )
    datum_f: float = quantity("F", "datum temperature T0", low=10, high=50, default=32.0, balloon=23)
    q_k: float = quantity("K", "Q of the equivalent age", low=2000, high=8000, default=5000.0, balloon=24)
    reference_f: float = quantity("F", "reference temperature Ts", low=50, high=86, default=68.0, balloon=25)
    curve_a_days: float = quantity(
        "days", "A of the strength curve", low=0.5, high=20, default=4.0, balloon=21
    )
    curve_b: float = quantity("", "B of the strength curve", low=0.5, high=1.1, default=0.85, balloon=22)
    normals: tuple[MonthsRow, ...] = quantity(
        "", "expected mean air by month", default=(), blank_rows=1, of_site=True
    )
