"""Bolted fault current behind the service transformer, against interrupting ratings.

Impedances are added as complex numbers; where the transformer's X/R is not known both ends of what
it can be are tried and the larger current counts. The utility's system ahead of the transformer is
taken as unlimited, the transformer's impedance at the low end of its tolerance, the conductors
cold: each gives the larger current. A center-tapped transformer is also tried line to neutral, with
1.5 times its line-to-line current at its terminals.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.inputs import quantity, require_valid

from .codes import CodeRule
from .figures import GroundStationFigures
from .tables import Conduit, Metal, Size, ac_resistance_ohm_kft, reactance_ohm_kft
from .words import GridSystem

# resistance by temperature: NEC Chapter 9 Table 8 note 2
_PER_C = {"copper": 0.00323, "aluminum": 0.00330}
COLD_C = 25.0
CENTER_TAP = 1.5

INTERRUPTING = CodeRule(
    "interrupting", "interrupting rating", "A", "complex impedances", Known.READ, ("interrupting",)
)
WITHSTAND = CodeRule(
    "withstand", "short-circuit rating", "A", "complex impedances", Known.READ, ("withstand",)
)

FULL_LOAD = Formula("I_fl", "transformer full load", "1000*kVA/V", "A")
FULL_LOAD_3 = Formula("I_fl", "transformer full load", "1000*kVA/(sqrt(3)*V)", "A")
AT_TERMINALS = Formula(
    "I_t",
    "at its terminals, impedance at the low end of the tolerance",
    "100*I_fl/(Z*(1-t/100))",
    "A",
)
TO_NEUTRAL = Formula("I_tn", "at its terminals, line to neutral", f"{CENTER_TAP}*I_t", "A")
THROUGH = Formula("I_a", "at the panel, all lines", "V/sqrt((R_t+R_c)**2+(X_t+X_c)**2)", "A")
AVAILABLE = Formula("I_f", "available, with the inverters", "I_a+I_inv", "A")
GREATER = Formula("I_f", "available, with the inverters", "max(I_a,I_n)+I_inv", "A")


@dataclass(frozen=True, kw_only=True)
class FaultCase:
    """Service transformer and the service conductors to the panel."""

    system: GridSystem = same_as(GroundStationFigures, "inverter_system", required=True)
    kva: float = same_as(GroundStationFigures, "service_kva", required=True)
    volts: float = same_as(GroundStationFigures, "inverter_v", required=True)
    impedance_pct: float = same_as(GroundStationFigures, "service_z_pct", required=True)
    tolerance_pct: float = quantity("%", "tolerance of that impedance", low=0, high=20, default=10.0)
    x_over_r: float | None = same_as(GroundStationFigures, "service_x_over_r")
    length_ft: float = same_as(GroundStationFigures, "service_ft")
    size: Size | None = same_as(GroundStationFigures, "service_size")
    metal: Metal = same_as(GroundStationFigures, "service_metal")
    conduit: Conduit = quantity("", "their conduit", default="PVC 40")
    sets: int = same_as(GroundStationFigures, "service_sets")
    # what the inverters add is said, 0 too: nothing known of it is no small current
    inverter_a: float = same_as(GroundStationFigures, "inverter_fault_a", required=True)


@dataclass(frozen=True, kw_only=True)
class Fault:
    """In A. ``at_transformer_a`` line to line or three-phase; ``available_a`` the largest at the panel."""

    full_load_a: float
    at_transformer_a: float
    line_neutral_a: float
    available_a: float
    steps: tuple[Step, ...]


def full_load(kva: float, volts: float, system: str) -> Step:
    """Full load of a transformer in A from kVA and V between lines: kVA / V, 3-phase kVA / (sqrt(3) V)."""
    return (FULL_LOAD_3 if system == "3-phase" else FULL_LOAD).step(kVA=kva, V=volts)


def current_through(
    volts: float, ahead: complex, wire: complex, meaning: str = THROUGH.meaning, symbol: str = THROUGH.symbol
) -> Step:
    """Current in A that ``volts`` drive through two impedances in series, ohm: V / |Z_t + Z_c|.

    Ohm's law for alternating current.
    """
    return THROUGH.step_of(
        meaning, symbol, V=volts, R_t=ahead.real, R_c=wire.real, X_t=ahead.imag, X_c=wire.imag
    )


def fault(case: FaultCase) -> Fault:
    """Largest bolted fault current at the panel, A.

    I_t = 100 I_fl / (Z (1 - t)) at the transformer; V / |Z_t + Z_c| behind the conductors, in a center-tapped
    transformer also line to neutral, half the voltage through a third of its impedance. Utility unlimited,
    conductors cold, impedance at the low end of its tolerance; without X/R both ends of what it can be are
    tried. Conductor impedance NEC Chapter 9 Table 9; circuit theory.
    """
    require_valid(case)
    load = full_load(case.kva, case.volts, case.system)
    terminals = AT_TERMINALS.step(I_fl=load.value, Z=case.impedance_pct, t=case.tolerance_pct)
    across = _greatest(_at_panel(case, terminals.value))
    steps = [load, terminals, across]
    if case.system == "3-phase":
        available = AVAILABLE.step(I_a=across.value, I_inv=case.inverter_a)
        to_neutral = 0.0
    else:
        tap = TO_NEUTRAL.step(I_t=terminals.value)
        neutral = _greatest(_line_neutral(case, tap.value))
        available = GREATER.step(I_a=across.value, I_n=neutral.value, I_inv=case.inverter_a)
        to_neutral = tap.value
        steps += [tap, neutral]
    return Fault(
        full_load_a=load.value,
        at_transformer_a=terminals.value,
        line_neutral_a=to_neutral,
        available_a=available.value,
        steps=(*steps, available),
    )


def _greatest(tried: list[Step]) -> Step:
    return max(tried, key=lambda step: step.value)


def conductor_ohm(case: FaultCase) -> complex:
    """One conductor of the service, cold (25 C), ohm. NEC Chapter 9 Table 9, Table 8 note 2."""
    if case.size is None or case.length_ft == 0:
        return 0j
    cold = 1 + _PER_C[case.metal] * (COLD_C - 75)
    r = ac_resistance_ohm_kft(case.size, case.metal, case.conduit) * cold
    x = reactance_ohm_kft(case.size, case.conduit)
    return complex(r, x) * case.length_ft / 1000 / case.sets


def _transformer_ohm(case: FaultCase, ohm: float) -> list[complex]:
    """What the transformer's impedance can be: by its X/R, or all resistance and all reactance."""
    if case.x_over_r is None:
        return [complex(ohm, 0.0), complex(0.0, ohm)]
    r = ohm / math.hypot(1.0, case.x_over_r)
    return [complex(r, r * case.x_over_r)]


def _at_panel(case: FaultCase, terminals_a: float) -> list[Step]:
    three = case.system == "3-phase"
    volts = case.volts / math.sqrt(3) if three else case.volts
    wire = conductor_ohm(case) * (1 if three else 2)
    meaning = f"{THROUGH.meaning}, {_conductor_words(case)}"
    ahead = _transformer_ohm(case, volts / terminals_a)
    return [current_through(volts, each, wire, meaning) for each in ahead]


def _line_neutral(case: FaultCase, terminals_a: float) -> list[Step]:
    """Half the voltage through a third of the impedance: 1.5 times the current at the terminals."""
    half, wire = case.volts / 2, 2 * conductor_ohm(case)
    meaning = f"at the panel, line to neutral, {_conductor_words(case)}"
    ahead = _transformer_ohm(case, half / terminals_a)
    return [current_through(half, each, wire, meaning, "I_n") for each in ahead]


def _conductor_words(case: FaultCase) -> str:
    if case.size is None or case.length_ft == 0:
        return "no conductor between"
    return f"{case.length_ft:g} ft of {case.sets} x {case.size} {case.metal} at {COLD_C:g} C"


def interrupting_check(case: FaultCase | None, interrupting_a: float | None, rule: Rule) -> Check:
    """Interrupting or short-circuit rating in A against the fault current available.

    ``rule`` is :data:`INTERRUPTING` or :data:`WITHSTAND` of an edition and a device. Not checked while either
    is unknown. NEC 110.9 of what interrupts (2017, in Electrical License Renewal, Section 110.9), 110.10 of
    what has to stand the current (2023, in Callout, Section 110.9).
    """
    missing = []
    if case is None:
        missing.append("the service transformer (ask the utility) or what the inverter adds")
    if interrupting_a is None:
        missing.append("the rating")
    if case is None or interrupting_a is None:
        return rule.open(f"not known: {' and '.join(missing)}.")
    found = fault(case)
    return rule.compare(
        demand=found.available_a,
        capacity=interrupting_a,
        note=f"{found.available_a:,.0f} of {interrupting_a:,.0f} A, {case.kva:g} kVA "
        f"{case.impedance_pct:g} % ahead of the service.",
        steps=found.steps,
    )
