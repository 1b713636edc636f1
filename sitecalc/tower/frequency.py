"""First natural frequency of tower and turbine, what it hangs on, and whether the rotor stays clear of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable, worst_first
from sitecalc.formula import looked_up
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.tower.beam import Head, Mode, modes
from sitecalc.tower.figures import TowerFigures
from sitecalc.tower.resonance import MEETS, Band, Rotor, band, clear_of, require_rotor, stiffness
from sitecalc.tower.structure import Tower, beam_pieces, require_tower

METHOD = "Euler-Bernoulli beam elements, consistent mass, softened by the weight above; any text on dynamics"
ELEMENTS = 4

GIVE = Rule("foundation_give", "Foundation rotational stiffness", "kip-ft/rad", METHOD, Known.READ)


@dataclass(frozen=True, kw_only=True)
class FrequencyCase:
    """Tower, head and rotor."""

    tower: Tower = quantity("", "kind and sections")
    head_weight_lb: float = quantity("lb", "turbine and rotor on the tower's top", low=0, high=1_000_000)
    rotor: Rotor = quantity("", "blades and speeds")
    head_above_top_ft: float = quantity(
        "ft", "center of gravity of the head above the tower's top", low=0, high=50, default=0.0
    )
    head_inertia_lb_ft2: float = quantity(
        "lb-ft2", "weight moment of inertia of the head about its own center", low=0, high=1e10, default=0.0
    )
    spring_kip_ft: float | None = same_as(TowerFigures, "spring_kip_ft_rad")


@dataclass(frozen=True, kw_only=True)
class FrequencyResult:
    """first_hz governs; ``variants`` are the same tower with one thing changed, as (what, Hz)."""

    first_hz: float
    fixed_foot_hz: float
    variants: tuple[tuple[str, float], ...]
    least_spring_kip_ft: float | None
    bands: tuple[Band, ...]
    stiffness: str
    shape: tuple[tuple[float, float], ...]
    checks: tuple[Check, ...]


def first_frequency(case: FrequencyCase) -> FrequencyResult:
    """First lateral frequency in Hz, speed bands in rpm, sensitivities and checks.

    InputError for bad figures.

    The least f with det(K - (2 pi f)^2 M) = 0, of K less the softening by the weight above. Slender towers
    (no shear deformation), small movement, freestanding; a tower that buckles under its weight has 0 Hz. Any
    text on structural dynamics.
    """
    _require(case)
    mode, fixed = _mode(case), _mode(replace(case, spring_kip_ft=None)).hz
    rotor = case.rotor
    checks = [clear_of(rotor, mode.hz, k, _steps(case, mode.hz, fixed, k)) for k in rotor.multiples]
    least = least_spring_kip_ft(case)
    checks.append(_give(case, fixed, mode.hz, least, all(check.passes for check in checks)))
    return FrequencyResult(
        first_hz=mode.hz,
        fixed_foot_hz=fixed,
        variants=_variants(case),
        least_spring_kip_ft=least,
        bands=tuple(band(rotor, mode.hz, k) for k in rotor.multiples),
        stiffness=stiffness(rotor, mode.hz),
        shape=tuple(zip(mode.heights_ft, mode.shape, strict=True)),
        checks=tuple(worst_first(checks)),
    )


def _require(case: FrequencyCase) -> None:
    require_valid(case)
    try:
        require_tower(case.tower)
    except InputError as error:
        raise InputError(f"tower.{error.field}", error.message) from None
    require_rotor(case.rotor)


def _mode(case: FrequencyCase) -> Mode:
    head = Head(
        weight_lb=case.head_weight_lb,
        above_top_ft=case.head_above_top_ft,
        inertia_lb_ft2=case.head_inertia_lb_ft2,
    )
    spring = None if case.spring_kip_ft is None else case.spring_kip_ft * 1000
    return modes(beam_pieces(case.tower), head, spring_lb_ft=spring, elements=ELEMENTS)[0]


def _variants(case: FrequencyCase) -> tuple[tuple[str, float], ...]:
    changed = [
        ("head 10 % heavier", replace(case, head_weight_lb=case.head_weight_lb * 1.1)),
        ("head 10 % lighter", replace(case, head_weight_lb=case.head_weight_lb * 0.9)),
    ]
    if case.spring_kip_ft is not None:
        changed += [
            ("foundation half as stiff", replace(case, spring_kip_ft=case.spring_kip_ft / 2)),
            ("foundation twice as stiff", replace(case, spring_kip_ft=case.spring_kip_ft * 2)),
        ]
    return tuple((what, _mode(other).hz) for what, other in changed)


def least_spring_kip_ft(case: FrequencyCase) -> float | None:
    """The softest foundation, coming down from the given (or a fixed) one, with which the rotor stays clear.

    None if it is not clear to begin with, or stays clear on any foundation. Within 2 %.
    """

    def clear(spring: float) -> bool:
        hz = _mode(replace(case, spring_kip_ft=spring)).hz
        return all(clear_of(case.rotor, hz, k).passes for k in case.rotor.multiples)

    holds = 1e10 if case.spring_kip_ft is None else case.spring_kip_ft
    if not clear(holds):
        return None
    breaks = holds
    while clear(breaks):
        holds, breaks = breaks, breaks / 4
        if breaks < 1:
            return None
    while holds / breaks > 1.02:
        middle = math.sqrt(holds * breaks)
        holds, breaks = (middle, breaks) if clear(middle) else (holds, middle)
    return holds


def _give(case: FrequencyCase, fixed: float, hz: float, least: float | None, clear: bool) -> Check:
    """The foundation turns under the tower: how much is known, how much the verdict bears."""
    spring = case.spring_kip_ft
    if spring is None:
        until = f" Clear of the rotor down to {readable(least)} kip-ft/rad." if least else ""
        return GIVE.open(f"Rotation spring not given, the foot is held fixed.{until}")
    if not clear or least is None:
        why = (
            f"{hz:.3g} Hz on {readable(spring)} kip-ft/rad, {fixed:.3g} Hz fixed; no least stiffness to name."
        )
        return GIVE.open(why)
    return GIVE.compare(
        demand=least,
        capacity=spring,
        note=f"{readable(spring)} kip-ft/rad, at least {readable(least)}; {hz:.3g} Hz, fixed {fixed:.3g} Hz.",
    )


def _steps(case: FrequencyCase, hz: float, fixed: float, k: int) -> tuple[Step, ...]:
    spring = case.spring_kip_ft
    foot = "foot fixed" if spring is None else f"spring {readable(spring)} kip-ft/rad"
    count = ELEMENTS * len(case.tower.sections)
    beam = f"{count} elements, {readable(case.tower.height_ft)} ft, head {readable(case.head_weight_lb)} lb"
    how = "least f of det(K - (2 pi f)^2 M) = 0"
    return (
        looked_up("f fixed", "first frequency, foot fixed", how, f"{beam}, foot fixed", fixed, "Hz"),
        looked_up("f1", "first frequency used", how, f"{beam}, {foot}", hz, "Hz"),
        MEETS.step_of(f"speed at which {k}P meets it", f"n{k}P", f1=hz, k=k),
    )
