"""How far a bar must run into concrete to be pulled to yield: straight, hooked, lapped. ACI 318-19."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import same_as
from sitecalc.checks import Step, readable
from sitecalc.formula import Formula
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.tables import bars
from sitecalc.foundation.words import BarSize
from sitecalc.inputs import quantity, require_valid

Coating = Literal["none", "epoxy", "epoxy, close"]
STRAIGHT_RULE = "ACI 318-19, 25.4.2.3"
HOOK_RULE = "ACI 318-19, 25.4.3.1"
LAP_RULE = "ACI 318-19, 25.5.2.1, class B"
TOP_BAR_ABOVE_IN = 12.0  # concrete placed below a bar that makes it a top bar

_PRINTED = {"fc": "f'c", "la": "lambda"}
# 25.4.1.4: the root of f'c counts up to 100 psi
STRAIGHT = Formula(
    "ld",
    "straight; k 25 to #6, 20 above; psi_close 1.5 in the other cases of table 25.4.2.3",
    "max(12, 1000*fy*psi_t*psi_e*psi_g*psi_close*db/(k*la*min(sqrt(fc), 100)))",
    "in",
    _PRINTED,
)
HOOKED = Formula(
    "ldh",
    "hooked",
    "max(1000*fy*psi_e*psi_r*psi_o*psi_c*db**1.5/(55*la*min(sqrt(fc), 100)), 8*db, 6)",
    "in",
    _PRINTED,
)
LAP = Formula("lst", "class B lap", "max(12, 1.3*ld)", "in")


@dataclass(frozen=True, kw_only=True)
class BarInConcrete:
    """One bar and what surrounds it.

    ``close`` are the "other cases" of table 25.4.2.3: less than 2 db clear between bars or less than db
    cover. ``coating`` "epoxy, close": epoxy with cover under 3 db or clear spacing under 6 db.
    """

    size: BarSize = quantity("", "bar size")
    fc_psi: float = same_as(FoundationFigures, "fc_psi", required=True)
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
    """Lengths in in over which a bar is pulled to yield: straight, with a standard hook, lapped.

    fy psi db / (25 lambda sqrt f'c) up to #6 and / (20 ...) above; fy psi db^1.5 / (55 lambda sqrt f'c);
    1.3 ld. Bars to #11, sqrt f'c up to 100 psi. ACI 318-19, 25.4.2.3, 25.4.3.1 and 25.5.2.1.
    """
    require_valid(case)
    straight = STRAIGHT.value(**_straight(case))
    return Development(
        straight_in=straight, hooked_in=HOOKED.value(**_hooked(case)), lap_in=LAP.value(ld=straight)
    )


def development_steps(case: BarInConcrete) -> tuple[Step, Step]:
    """Straight and hooked lengths in in as of :func:`development`, with their arithmetic."""
    straight, hooked = _straight(case), _hooked(case)
    under = "over" if case.top else "up to"
    apart = "6 db apart or tied" if case.hooks_apart else "closer than 6 db"
    side = "6 db side cover" if case.hooks_covered else "less side cover than 6 db"
    clear = "close" if case.close else "2 db clear, db cover"
    long = (
        f"straight; psi_t {straight['psi_t']:g} ({under} {TOP_BAR_ABOVE_IN:g} in of fresh concrete below), "
        f"psi_close {straight['psi_close']:g} ({clear}), k {straight['k']:g} by table 25.4.2.3"
    )
    bent = (
        f"hooked; psi_r {hooked['psi_r']:g} ({apart}), psi_o {hooked['psi_o']:g} ({side}), "
        f"psi_c {readable(hooked['psi_c'])} (f'c / 15,000 + 0.6, 1 from 6,000 psi)"
    )
    return STRAIGHT.step_of(long, **straight), HOOKED.step_of(bent, **hooked)


def ld_in(size: BarSize, fc_psi: float, yield_ksi: float = 60.0, *, top: bool = False) -> float:
    """ld in in of a straight uncoated bar in normal-weight concrete, 2 db clear and db cover or more.

    f'c in psi, fy in ksi; equation, range and source as of :func:`development`.
    """
    return development(BarInConcrete(size=size, fc_psi=fc_psi, yield_ksi=yield_ksi, top=top)).straight_in


def ldh_in(size: BarSize, fc_psi: float, yield_ksi: float = 60.0) -> float:
    """ldh in in of a standard hook on an uncoated bar, nothing known of spacing and side cover.

    f'c in psi, fy in ksi; equation, range and source as of :func:`development`.
    """
    return development(BarInConcrete(size=size, fc_psi=fc_psi, yield_ksi=yield_ksi)).hooked_in


def class_b_lap_in(size: BarSize, fc_psi: float, yield_ksi: float = 60.0, *, top: bool = False) -> float:
    """Class B lap in in, 1.3 ld of a bar as of :func:`ld_in`. ACI 318-19, 25.5.2.1."""
    return development(BarInConcrete(size=size, fc_psi=fc_psi, yield_ksi=yield_ksi, top=top)).lap_in


def _straight(case: BarInConcrete) -> dict[str, float]:
    """Factors of table 25.4.2.5; half more in the other cases of table 25.4.2.3."""
    place = 1.3 if case.top else 1.0
    coat = {"none": 1.0, "epoxy": 1.2, "epoxy, close": 1.5}[case.coating]
    if coat > 1:
        place, coat = 1.0, min(place * coat, 1.7)  # the product need not be more than 1.7
    return {
        "fy": case.yield_ksi,
        "psi_t": place,
        "psi_e": coat,
        "psi_g": _grade(case.yield_ksi),
        "psi_close": 1.5 if case.close else 1.0,
        "db": bars()[case.size].diameter_in,
        "k": 25.0 if int(case.size[1:]) <= 6 else 20.0,
        "la": case.light,
        "fc": case.fc_psi,
    }


def _hooked(case: BarInConcrete) -> dict[str, float]:
    """Factors of table 25.4.3.2."""
    return {
        "fy": case.yield_ksi,
        "psi_e": 1.0 if case.coating == "none" else 1.2,
        "psi_r": 1.0 if case.hooks_apart else 1.6,
        "psi_o": 1.0 if case.hooks_covered else 1.25,
        "psi_c": min(1.0, case.fc_psi / 15_000 + 0.6),
        "db": bars()[case.size].diameter_in,
        "la": case.light,
        "fc": case.fc_psi,
    }


def _grade(yield_ksi: float) -> float:
    if yield_ksi <= 60:
        return 1.0
    return 1.15 if yield_ksi <= 80 else 1.3
