"""Voltage drop of a run, or the rise at the far end of one that feeds toward the utility.

First-order formula with the effective impedance of NEC Chapter 9 Table 9 note 2; against a solution
of the circuit it is within about 0.2 % of the drop at constant current. A source rises: at an
inverter's terminals the voltage is the service's plus this, and the inverter trips on it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula

from .codes import CodeRule
from .run import Run, require_run
from .tables import ac_resistance_ohm_kft, dc_resistance_ohm_kft, named, reactance_ohm_kft

LIMIT = "limit set for this job"
_LIMITED = {
    word: CodeRule(f"voltage-{word}", f"voltage {word}", "%", LIMIT, Known.READ, ("impedance",))
    for word in ("rise", "drop")
}
_LIMITED_DC = {word: replace(rule, sections=("resistance",)) for word, rule in _LIMITED.items()}
RISE = CodeRule("rise", "Voltage rise, inverter to service", "%", LIMIT, Known.READ, ("impedance",))
AT_INVERTER = Rule(
    "inverter-voltage",
    "Voltage at the inverter",
    "V",
    "IEEE 1547-2018 default OV1 trip 1.10 per unit; ANSI C84.1 range A 105 %",
    # the trip: open test program UL1741SB; the range: PG&E, Voltage Tolerance Boundary (126 of 120 V)
    Known.SECONDARY,
)

IMPEDANCE = Formula("Z", "effective impedance", "(R*pf+X*sqrt(1-pf**2))/n", "ohm/kft")
# there and back, or to the other line
THERE_AND_BACK = Formula("V_d", "voltage between lines", "2*Z*I*L/1000", "V")
LINE_TO_LINE = Formula("V_d", "voltage between lines", "sqrt(3)*Z*I*L/1000", "V")
OF_NOMINAL = Formula("v", "of nominal", "100*V_d/V", "%")
TOTAL = Formula("v", "sum over the runs", "sum(v)", "%")
TERMINAL_VOLTS = Formula("V_i", "voltage at the inverter's terminals", "V*(h+v)/100", "V")
TRIP_VOLTS = Formula("V_t", "its trip", "V*trip/100", "V")
LOSS = Formula("P", "loss in all conductors", "lines*I**2*R/n*L/1000", "W")


@dataclass(frozen=True, kw_only=True)
class VoltageDrop:
    """``volts`` between lines over the whole run, ``percent`` of nominal, ``loss_w`` in all conductors."""

    volts: float
    percent: float
    end_volts: float
    loss_w: float
    z_ohm_kft: float
    steps: tuple[Step, ...]


def effective_z(r_ohm_kft: float, x_ohm_kft: float, power_factor: float) -> float:
    """R cos + X sin, ohm to neutral per 1,000 ft.

    r_ohm_kft, x_ohm_kft
        resistance and reactance to neutral, ohm per 1,000 ft.
    power_factor
        of the load, 0 to 1.

    Lagging current, first order. NEC Chapter 9 Table 9 note 2.
    """
    return IMPEDANCE.value(R=r_ohm_kft, X=x_ohm_kft, pf=power_factor, n=1)


def drop_volts(system: str, z_ohm_kft: float, current_a: float, length_ft: float) -> float:
    """V between lines: 2 Z I L (1-phase, DC) or sqrt(3) Z I L (3-phase), L one way.

    z_ohm_kft
        effective impedance, ohm per 1,000 ft.
    current_a, length_ft
        A, and ft one way.

    First order: against a solution of the circuit within about 0.2 % of the drop at constant current.
    """
    return _line(system).value(Z=z_ohm_kft, I=current_a, L=length_ft)


def _line(system: str) -> Formula:
    return LINE_TO_LINE if system == "3-phase" else THERE_AND_BACK


def voltage_drop(run: Run) -> VoltageDrop:
    """Drop or rise of a run in V between lines and in % of nominal, loss in W.

    As of :func:`effective_z` and :func:`drop_volts`. Conductors at 75 C. DC: NEC Chapter 9 Table 8; AC: Table
    9, reactance by frequency. InputError for a size the tables do not hold.
    """
    require_run(run)
    if run.system == "DC":
        r, x, pf = dc_resistance_ohm_kft(run.size, run.metal), 0.0, 1.0
    else:
        r = ac_resistance_ohm_kft(run.size, run.metal, run.conduit)
        x = reactance_ohm_kft(run.size, run.conduit) * run.frequency_hz / 60
        pf = run.power_factor
    z = IMPEDANCE.step_of(
        f"effective impedance of {named(run.size)} {run.metal}, {run.frequency_hz:g} Hz",
        R=r,
        X=x,
        pf=pf,
        n=run.sets,
    )
    volts = _line(run.system).step_of(
        f"voltage {_word(run)} between lines", Z=z.value, I=run.current_a, L=run.length_ft
    )
    percent = OF_NOMINAL.step(V_d=volts.value, V=run.volts)
    return VoltageDrop(
        volts=volts.value,
        percent=percent.value,
        end_volts=run.volts + volts.value if run.source else run.volts - volts.value,
        loss_w=LOSS.value(lines=run.lines, I=run.current_a, R=r, n=run.sets, L=run.length_ft),
        z_ohm_kft=z.value,
        steps=(z, volts, percent),
    )


def _word(run: Run) -> str:
    return "rise" if run.source else "drop"


def voltage_drop_check(run: Run, edition: str, key: str) -> Check:
    """Drop or rise in % against the run's own limit; the code's 3 and 5 % are advice.

    NEC Chapter 9 Tables 8 and 9.
    """
    found = voltage_drop(run)
    rule = (_LIMITED_DC if run.system == "DC" else _LIMITED)[_word(run)]
    return rule.of(edition, key, run.name).compare(
        demand=found.percent,
        capacity=run.drop_limit_pct,
        note=f"{found.percent:.2f} of {run.drop_limit_pct:g} %, {found.volts:.2f} V at {run.current_a:.4g} A "
        f"over {run.length_ft:g} ft, {named(run.size)} {run.metal}.",
        steps=found.steps,
    )


def total_voltage_check(runs: list[Run], limit_pct: float, edition: str) -> Check:
    """The runs from the inverter to the service together, % of nominal against a limit in %."""
    drops = [voltage_drop(run) for run in runs]
    total = TOTAL.step(v=tuple(d.percent for d in drops))
    worst = runs[max(range(len(runs)), key=lambda i: drops[i].percent)].name
    return RISE.of(edition).compare(
        demand=total.value,
        capacity=limit_pct,
        note=f"{total.value:.2f} of {limit_pct:g} %, most of it in {worst}.",
        steps=(total,),
    )


def inverter_voltage_check(
    nominal_v: float, service_high_pct: float, rise_pct: float, trip_pct: float
) -> Check:
    """The service at its highest plus the rise must stay under the inverter's first over-voltage trip.

    nominal_v
        V between lines.
    service_high_pct, rise_pct, trip_pct
        highest service voltage, rise to the inverter, its trip, all % of nominal.

    1.10 per unit is the default of all categories in IEEE 1547-2018 (OV1).
    """
    at = TERMINAL_VOLTS.step(V=nominal_v, h=service_high_pct, v=rise_pct)
    trip = TRIP_VOLTS.step(V=nominal_v, trip=trip_pct)
    return AT_INVERTER.compare(
        demand=at.value,
        capacity=trip.value,
        note=f"{at.value:.1f} of {trip.value:.1f} V, its trip; service at {service_high_pct:g} % "
        f"of {nominal_v:g} V.",
        steps=(at, trip),
    )
