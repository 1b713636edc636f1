"""How far a bar must run into concrete to be pulled to yield: straight, hooked, lapped. ACI 318-19."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.foundation.tables import bars
from sitecalc.foundation.words import BarSize
from sitecalc.inputs import quantity, require_valid

Coating = Literal["none", "epoxy", "epoxy, close"]
STRAIGHT_RULE = "ACI 318-19, 25.4.2.3"
HOOK_RULE = "ACI 318-19, 25.4.3.1"
LAP_RULE = "ACI 318-19, 25.5.2.1, class B"
TOP_BAR_ABOVE_IN = 12.0  # concrete placed below a bar that makes it a top bar
GREATEST_ROOT_PSI = 100.0  # 25.4.1.4


@dataclass(frozen=True, kw_only=True)
class BarInConcrete:
    """One bar and what surrounds it.

    ``close`` are the "other cases" of table 25.4.2.3: less than 2 db clear between bars or less than db
    cover. ``coating`` "epoxy, close": epoxy with cover under 3 db or clear spacing under 6 db.
    """

    size: BarSize = quantity("", "bar size")
    fc_psi: float = quantity("psi", "specified strength of the concrete", low=2_500, high=15_000)
    yield_ksi: float = quantity("ksi", "yield strength of the bar", low=40, high=100, default=60.0)
    top: bool = quantity("", "more than 12 in of fresh concrete below the bar", default=False)
    coating: Coating = quantity("", "coating", default="none")
    close: bool = quantity("", "bars close together or to the face", default=False)
    light: float = quantity("", "lambda, 1 for normal-weight concrete", low=0.75, high=1, default=1.0)
    hooks_apart: bool = quantity("", "hooked bars 6 db apart or more, or tied", default=False)
    hooks_covered: bool = quantity("", "hooked bars with 6 db side cover or more", default=False)


@dataclass(frozen=True, kw_only=True)
class Development:
    """Needed lengths in inches, exact; round up when bars are cut."""

    straight_in: float
    hooked_in: float
    lap_in: float


def development(case: BarInConcrete) -> Development:
    require_valid(case)
    straight = _straight_in(case)
    return Development(
        straight_in=max(12.0, straight),
        hooked_in=_hooked_in(case),
        lap_in=max(12.0, 1.3 * max(12.0, straight)),
    )


def ld_in(size: BarSize, fc_psi: float, yield_ksi: float = 60.0, *, top: bool = False) -> float:
    """Straight uncoated bar in normal-weight concrete, 2 db clear and db cover or more."""
    return development(BarInConcrete(size=size, fc_psi=fc_psi, yield_ksi=yield_ksi, top=top)).straight_in


def ldh_in(size: BarSize, fc_psi: float, yield_ksi: float = 60.0) -> float:
    """Standard hook on an uncoated bar, nothing known of spacing and side cover."""
    return development(BarInConcrete(size=size, fc_psi=fc_psi, yield_ksi=yield_ksi)).hooked_in


def class_b_lap_in(size: BarSize, fc_psi: float, yield_ksi: float = 60.0, *, top: bool = False) -> float:
    return development(BarInConcrete(size=size, fc_psi=fc_psi, yield_ksi=yield_ksi, top=top)).lap_in


def _straight_in(case: BarInConcrete) -> float:
    """fy psi_t psi_e psi_g db / (25 lambda sqrt f'c) to #6, / (20 ...) above; half more in other cases."""
    part = 25 if int(case.size[1:]) <= 6 else 20
    place = 1.3 if case.top else 1.0
    coat = {"none": 1.0, "epoxy": 1.2, "epoxy, close": 1.5}[case.coating]
    if coat > 1:
        place, coat = 1.0, min(place * coat, 1.7)  # the product need not be more than 1.7
    length = case.yield_ksi * 1000 * place * coat * _grade(case.yield_ksi) / (part * _root(case))
    return length * bars()[case.size].diameter_in * (1.5 if case.close else 1.0)


def _hooked_in(case: BarInConcrete) -> float:
    """fy psi_e psi_r psi_o psi_c / (55 lambda sqrt f'c) db^1.5, at least 8 db and 6 in."""
    db = bars()[case.size].diameter_in
    coat = 1.0 if case.coating == "none" else 1.2
    confined = 1.0 if case.hooks_apart else 1.6
    location = 1.0 if case.hooks_covered else 1.25
    strength = min(1.0, case.fc_psi / 15_000 + 0.6)
    length = (
        case.yield_ksi
        * 1000
        * coat
        * confined
        * location
        * strength
        / (55 * _root(case))
        * db
        * math.sqrt(db)
    )
    return max(length, 8 * db, 6.0)


def _grade(yield_ksi: float) -> float:
    if yield_ksi <= 60:
        return 1.0
    return 1.15 if yield_ksi <= 80 else 1.3


def _root(case: BarInConcrete) -> float:
    return case.light * min(math.sqrt(case.fc_psi), GREATEST_ROOT_PSI)
