"""The figures of the screens: the application's, the utility's of the line, and its limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.inputs import quantity

Circuit = Literal["not known", "radial", "spot network"]
Secondary = Literal["not known", "shared", "own transformer"]
Across = Literal["not known", "line to line", "line to neutral", "three-phase"]


@dataclass(frozen=True, kw_only=True)
class ScreensCase:
    """Empty figures of the utility are not known: what hangs on one is not checked."""

    new_kw: float | None = quantity("kW", "AC rating applied for", low=0.1, high=1000, default=None)
    before_kw: float | None = quantity(
        "kW", "generation before it on the line section", low=0, high=100_000, default=None
    )
    peak_kw: float | None = quantity("kW", "line section’s annual peak", low=1, high=1_000_000, default=None)
    circuit: Circuit = quantity("", "circuit", default="not known")
    network_kw: float | None = quantity(
        "kW", "spot network’s greatest load", low=1, high=1_000_000, default=None
    )
    network_before_kw: float | None = quantity(
        "kW", "inverters before it on the network", low=0, high=100_000, default=None
    )
    inverter_v: float | None = quantity("V", "inverter output", low=100, high=1000, default=None)
    inverter_fault_a: float | None = quantity(
        "A", "inverter’s largest fault current", low=0, high=20_000, default=None
    )
    primary_v: float | None = quantity("V", "primary line", low=600, high=69_000, default=None)
    line_fault_a: float | None = quantity(
        "A", "circuit’s greatest fault current there", low=1, high=200_000, default=None
    )
    fault_before_a: float | None = quantity(
        "A", "fault current of generation before it", low=0, high=100_000, default=None
    )
    device_a: float | None = quantity(
        "A", "least interrupting rating on the circuit", low=100, high=300_000, default=None
    )
    device_fault_a: float | None = quantity(
        "A", "fault current at that device today", low=0, high=300_000, default=None
    )
    secondary: Secondary = quantity("", "secondary", default="not known")
    shared_before_kw: float | None = quantity(
        "kW", "generation before it on the secondary", low=0, high=10_000, default=None
    )
    across: Across = quantity("", "inverter across", default="not known")
    transformer_kva: float | None = quantity("kVA", "utility transformer", low=1, high=5000, default=None)
    most_kw: float | None = quantity("kW", "most for this process", low=1, high=20_000, default=10.0)
    section_pct: float | None = quantity("%", "of the section’s peak", low=0.1, high=100, default=15.0)
    network_pct: float | None = quantity("%", "of the network’s load", low=0.1, high=100, default=5.0)
    network_most_kw: float | None = quantity("kW", "most on a network", low=1, high=10_000, default=50.0)
    fault_pct: float | None = quantity("%", "of the fault current", low=0.1, high=100, default=10.0)
    interrupting_pct: float | None = quantity(
        "%", "of the interrupting rating", low=1, high=100, default=87.5
    )
    shared_most_kw: float | None = quantity(
        "kW", "most on a shared secondary", low=1, high=1000, default=20.0
    )
    imbalance_pct: float | None = quantity("%", "imbalance", low=0.1, high=100, default=20.0)
    source: str = quantity("", "where the utility’s limits are from", default="", most=160)
