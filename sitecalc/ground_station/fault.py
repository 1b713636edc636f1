"""Bolted fault current behind the service transformer, against interrupting ratings.

Impedances are added as complex numbers; where the transformer's X/R is not known both ends of what
it can be are tried and the larger current counts. The utility's system ahead of the transformer is
taken as unlimited, the transformer's impedance at the low end of its tolerance, the conductors
cold: each gives the larger current. A center-tapped transformer is also tried line to neutral, with
1.5 times its line-to-line current at its terminals.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.inputs import quantity, require_valid

from .codes import cite
from .run import System
from .tables import Conduit, Metal, Size, ac_resistance_ohm_kft, reactance_ohm_kft

# resistance by temperature: NEC Chapter 9 Table 8 note 2
_PER_C = {"copper": 0.00323, "aluminum": 0.00330}
COLD_C = 25.0
CENTER_TAP = 1.5


@dataclass(frozen=True)
class FaultCase:
    """Service transformer and the service conductors to the panel."""

    system: System = quantity("", "1-phase (center-tapped) or 3-phase")
    kva: float = quantity("kVA", "transformer", low=1, high=5000)
    volts: float = quantity("V", "secondary, between lines", low=100, high=1000)
    impedance_pct: float = quantity("%", "transformer impedance", low=0.5, high=15)
    tolerance_pct: float = quantity("%", "tolerance of that impedance", low=0, high=20, default=10.0)
    x_over_r: float | None = quantity("", "transformer X/R", low=0.1, high=50, default=None)
    length_ft: float = quantity("ft", "service conductors one way", low=0, high=2000, default=0.0)
    size: Size | None = quantity("", "their size", default=None)
    metal: Metal = quantity("", "their metal", default="aluminum")
    conduit: Conduit = quantity("", "their conduit", default="PVC 40")
    sets: int = quantity("", "their parallel sets", low=1, high=10, default=1)
    inverter_a: float = quantity("A", "fault current from the inverters", low=0, high=20000, default=0.0)


@dataclass(frozen=True)
class Fault:
    """In A. ``at_transformer_a`` line to line or three-phase; ``available_a`` the largest at the panel."""

    full_load_a: float
    at_transformer_a: float
    line_neutral_a: float
    available_a: float
    steps: tuple[Step, ...]


def full_load_a(kva: float, volts: float, system: str) -> float:
    return kva * 1000 / (volts * (math.sqrt(3) if system == "3-phase" else 1.0))


def current_through(volts: float, *impedances: complex) -> float:
    """A through impedances in series."""
    return volts / abs(sum(impedances))


def fault(case: FaultCase) -> Fault:
    require_valid(case)
    load = full_load_a(case.kva, case.volts, case.system)
    percent = case.impedance_pct * (1 - case.tolerance_pct / 100)
    terminals = load * 100 / percent
    angles = (
        (0.0, math.pi / 2) if case.x_over_r is None else (math.atan(case.x_over_r), math.atan(case.x_over_r))
    )
    across = max(_at_panel(case, terminals, angle) for angle in angles)
    neutral = max(_line_neutral(case, terminals, angle) for angle in angles)
    available = max(across, neutral) + case.inverter_a
    steps = [
        Step(
            "I_fl",
            "transformer full load",
            "I_fl = kVA / (V k)",
            f"{case.kva:g} kVA at {case.volts:g} V, {case.system}",
            load,
            "A",
        ),
        Step(
            "I_t",
            "at its terminals, impedance at the low end of the tolerance",
            "I_t = 100 I_fl / (Z (1 - t))",
            f"100 x {load:.4g} / ({case.impedance_pct:g} x {1 - case.tolerance_pct / 100:g})",
            terminals,
            "A",
        ),
        Step(
            "I_a",
            "at the panel, all lines",
            "I_a = V / |Z_t + Z_c|",
            _conductor_words(case),
            across,
            "A",
        ),
    ]
    if neutral:
        steps.append(
            Step(
                "I_n",
                "at the panel, line to neutral",
                "I_n = (V / 2) / |Z_t / 3 + Z_c|",
                _conductor_words(case),
                neutral,
                "A",
            )
        )
    steps.append(
        Step(
            "I_f",
            "available, with the inverters",
            "I_f = max(I_a, I_n) + I_inv",
            f"{max(across, neutral):,.0f} + {case.inverter_a:g}",
            available,
            "A",
        )
    )
    return Fault(load, terminals, CENTER_TAP * terminals if neutral else 0.0, available, tuple(steps))


def conductor_ohm(case: FaultCase) -> complex:
    """One conductor of the service, cold, ohm."""
    if case.size is None or case.length_ft == 0:
        return 0j
    cold = 1 + _PER_C[case.metal] * (COLD_C - 75)
    r = ac_resistance_ohm_kft(case.size, case.metal, case.conduit) * cold
    x = reactance_ohm_kft(case.size, case.conduit)
    return complex(r, x) * case.length_ft / 1000 / case.sets


def _at_panel(case: FaultCase, terminals_a: float, angle: float) -> float:
    if case.system == "3-phase":
        phase = case.volts / math.sqrt(3)
        return current_through(phase, cmath.rect(phase / terminals_a, angle), conductor_ohm(case))
    return current_through(case.volts, cmath.rect(case.volts / terminals_a, angle), 2 * conductor_ohm(case))


def _line_neutral(case: FaultCase, terminals_a: float, angle: float) -> float:
    """Half the voltage through a third of the impedance: 1.5 times the current at the terminals."""
    if case.system == "3-phase":
        return 0.0
    half = case.volts / 2
    return current_through(
        half, cmath.rect(half / (CENTER_TAP * terminals_a), angle), 2 * conductor_ohm(case)
    )


def _conductor_words(case: FaultCase) -> str:
    if case.size is None or case.length_ft == 0:
        return "no conductor between"
    return f"{case.length_ft:g} ft of {case.sets} x {case.size} {case.metal} at {COLD_C:g} C"


def interrupting_check(
    case: FaultCase | None, interrupting_a: float | None, edition: str, key: str, title: str
) -> Check:
    """Interrupting rating against the fault current available; not checked while either is unknown."""
    source = cite(edition, "interrupting") + "; complex impedances"
    missing = []
    if case is None:
        missing.append("the service transformer (ask the utility) or what the inverter adds")
    if interrupting_a is None:
        missing.append("the rating")
    if case is None or interrupting_a is None:
        why = f"not known: {' and '.join(missing)}."
        return not_checked(key, title, why, source=source, known=Known.MEMORY, unit="A")
    found = fault(case)
    return compare(
        key,
        title,
        demand=found.available_a,
        capacity=interrupting_a,
        unit="A",
        note=f"{found.available_a:,.0f} of {interrupting_a:,.0f} A, {case.kva:g} kVA "
        f"{case.impedance_pct:g} % ahead of the service.",
        source=source,
        known=Known.MEMORY,
        steps=found.steps,
    )
