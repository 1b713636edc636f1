"""The figures of a job's turbine: how high it stands, how it is stopped, locked and bolted on."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.inputs import quantity
from sitecalc.tower.bolt_tables import Grade, sizes

_SIZES = {size: size for size in sizes()}


@dataclass(frozen=True, kw_only=True)
class TurbineFigures:
    """``model`` is the key of the machine's row in the firm's catalogue."""

    model: int | None = quantity("", "turbine", default=None, row=True, balloon=1)
    hub_ft: float | None = quantity(
        "ft",
        "hub above grade",
        low=15,
        high=300,
        default=None,
        help="Foundation above grade, tower and yaw flange together.",
        balloon=2,
    )
    serial: str = quantity("", "serial number", default="", most=40, balloon=1, of_site=True)
    yaw_bolts: int = quantity("", "yaw-flange bolts", low=3, high=120, counted="bolts", default=12, balloon=3)
    yaw_bolt_size: str = quantity("", "their size", default="3/4", choices=_SIZES, balloon=3)
    yaw_bolt_grade: Grade = quantity("", "their grade", default="SAE 8", balloon=3)
    yaw_torque_ft_lb: float | None = quantity(
        "ft-lb",
        "maker’s torque",
        low=1,
        high=5000,
        default=None,
        help="From the maker’s manual, for the state of the threads it names.",
        balloon=3,
    )
    brake_method: str = quantity(
        "",
        "how the rotor is braked for the lift",
        default="",
        most=200,
        help="Before the climb and until rotor up is released.",
        balloon=4,
        lines=3,
        columns=14,
    )
    lock_method: str = quantity(
        "", "how the rotor is locked against turning", default="", most=200, balloon=5, lines=3, columns=14
    )
