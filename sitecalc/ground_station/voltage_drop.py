"""Voltage drop of a run, or the rise at the far end of one that feeds toward the utility.

First-order formula with the effective impedance of NEC Chapter 9 Table 9 note 2; against a solution
of the circuit it is within about 0.2 % of the drop at constant current. A source rises: at an
inverter's terminals the voltage is the service's plus this, and the inverter trips on it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare

from .codes import cite, known
from .run import Run, require_run
from .tables import ac_resistance_ohm_kft, dc_resistance_ohm_kft, named, reactance_ohm_kft

# length of conductor the current runs through, against the one-way length, for the line voltage
_PATH = {"1-phase": 2.0, "DC": 2.0, "3-phase": math.sqrt(3)}


@dataclass(frozen=True)
class VoltageDrop:
    """``volts`` between lines over the whole run, ``percent`` of nominal, ``loss_w`` in all conductors."""

    volts: float
    percent: float
    end_volts: float
    loss_w: float
    z_ohm_kft: float
    steps: tuple[Step, ...]


def effective_z(r_ohm_kft: float, x_ohm_kft: float, power_factor: float) -> float:
    """R cos + X sin, ohm to neutral per 1,000 ft. NEC Chapter 9 Table 9 note 2."""
    return r_ohm_kft * power_factor + x_ohm_kft * math.sqrt(1 - power_factor**2)


def drop_volts(system: str, z_ohm_kft: float, current_a: float, length_ft: float) -> float:
    """V between lines: 2 Z I L (1-phase, DC) or sqrt(3) Z I L (3-phase), L one way."""
    return _PATH[system] * z_ohm_kft * current_a * length_ft / 1000


def voltage_drop(run: Run) -> VoltageDrop:
    """InputError for a size the tables do not hold. DC: Table 8; AC: Table 9, reactance by frequency."""
    require_run(run)
    if run.system == "DC":
        r, x, pf = dc_resistance_ohm_kft(run.size, run.metal), 0.0, 1.0
    else:
        r = ac_resistance_ohm_kft(run.size, run.metal, run.conduit)
        x = reactance_ohm_kft(run.size, run.conduit) * run.frequency_hz / 60
        pf = run.power_factor
    z = effective_z(r, x, pf) / run.sets
    volts = drop_volts(run.system, z, run.current_a, run.length_ft)
    percent = 100 * volts / run.volts
    loss = run.lines * run.current_a**2 * r / run.sets * run.length_ft / 1000
    word = "rise" if run.source else "drop"
    root = "1.732" if run.system == "3-phase" else "2"
    steps = (
        Step(
            "Z",
            f"effective impedance of {named(run.size)} {run.metal}, {run.frequency_hz:g} Hz",
            "Z = (R cos + X sin) / n",
            f"({r:g} x {pf:g} + {x:.4g} x {math.sqrt(1 - pf**2):.3f}) / {run.sets}",
            z,
            "ohm/kft",
        ),
        Step(
            "V_d",
            f"voltage {word} between lines",
            f"V_d = {root} Z I L / 1000",
            f"{root} x {z:.4g} x {run.current_a:.4g} x {run.length_ft:g} / 1000",
            volts,
            "V",
        ),
        Step("v", "of nominal", "v = 100 V_d / V", f"100 x {volts:.4g} / {run.volts:g}", percent, "%"),
    )
    end = run.volts + volts if run.source else run.volts - volts
    return VoltageDrop(volts, percent, end, loss, z, steps)


def voltage_drop_check(run: Run, edition: str, key: str) -> Check:
    """Against the run's own limit; the code's 3 and 5 % are advice, the limit here is the job's."""
    found = voltage_drop(run)
    word = "rise" if run.source else "drop"
    table = "resistance" if run.system == "DC" else "impedance"
    return compare(
        f"{key}-voltage-{word}",
        f"{run.name}: voltage {word}",
        demand=found.percent,
        capacity=run.drop_limit_pct,
        unit="%",
        note=f"{found.percent:.2f} of {run.drop_limit_pct:g} %, {found.volts:.2f} V at {run.current_a:.4g} A "
        f"over {run.length_ft:g} ft, {named(run.size)} {run.metal}.",
        source=cite(edition, table) + "; limit set for this job",
        known=known(edition, table),
        steps=found.steps,
    )


def total_voltage_check(runs: list[Run], limit_pct: float, edition: str, key: str) -> Check:
    """The runs from the inverter to the service together."""
    drops = [voltage_drop(run) for run in runs]
    total = math.fsum(d.percent for d in drops)
    worst = runs[max(range(len(runs)), key=lambda i: drops[i].percent)].name
    return compare(
        key,
        "Voltage rise, inverter to service",
        demand=total,
        capacity=limit_pct,
        unit="%",
        note=f"{total:.2f} of {limit_pct:g} %, most of it in {worst}.",
        source=cite(edition, "impedance") + "; limit set for this job",
        known=known(edition, "impedance"),
        steps=(
            Step(
                "v",
                "sum over the runs",
                "v = v1 + v2 + ...",
                " + ".join(f"{d.percent:.3g}" for d in drops),
                total,
                "%",
            ),
        ),
    )


def inverter_voltage_check(
    nominal_v: float, service_high_pct: float, rise_pct: float, trip_pct: float, key: str
) -> Check:
    """The service at its highest plus the rise must stay under the inverter's first over-voltage trip.

    1.10 per unit is the default of all categories in IEEE 1547-2018 (OV1).
    """
    at = nominal_v * (service_high_pct + rise_pct) / 100
    trip = nominal_v * trip_pct / 100
    return compare(
        key,
        "Voltage at the inverter",
        demand=at,
        capacity=trip,
        unit="V",
        note=f"{at:.1f} of {trip:.1f} V, its trip; service at {service_high_pct:g} % of {nominal_v:g} V.",
        source="IEEE 1547-2018 default OV1 trip 1.10 per unit; ANSI C84.1 range A 105 %",
        known=Known.MEMORY,
        steps=(
            Step(
                "V_i",
                "voltage at the inverter's terminals",
                "V_i = V (h + v) / 100",
                f"{nominal_v:g} x ({service_high_pct:g} + {rise_pct:.3g}) / 100",
                at,
                "V",
            ),
        ),
    )
