"""What the tower hands down at its base, and the combinations of it: two kinds that are never mixed.

Service loads size the pad on its ground; strength loads size concrete, steel and anchor bolts. A function
that takes the one refuses the other.

The combinations of ASCE 7-16, 2.3.1 were read in a public transcription, those of 2.4.1 as the 2022 edition
prints them (D + 0.6W, 0.6D + 0.6W; the same in the New York City building code, 1605.3.1).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.words import LoadKind
from sitecalc.inputs import InputError, require_valid

SERVICE_RULE = "ASCE 7-16, 2.4.1, allowable stress"
STRENGTH_RULE = "ASCE 7-16, 2.3.1, strength"
ASCE_SERVICE = 0.6  # ASCE 7-16, 2.4.1 (read in secondary copies)
# Strength-level wind as a multiple of the stated wind, where no other is given:
# 1.35, partial load factor of IEC 61400-2 for an aeroelastic model with design data, as lecture slides of
#       D. Wood list it
# 1.6, load factor on a service wind up to ASCE 7-05
STRENGTH_FACTORS: dict[LoadKind, float] = {
    "ASCE strength level": 1.0,
    "IEC extreme gust": 1.35,
    "maker's service": 1.6,
    "maker's strength level": 1.0,
}
# A maker seldom says by how much its loads are raised. The smallest factor in use, 1.35, leaves the
# greatest service wind; 1.6 would leave a sixth less.
MAKERS_OWN = 1.35


@dataclass(frozen=True, kw_only=True)
class BaseLoads:
    """As stated for the tower's base: dead load and the wind's moment, shear and torsion, unfactored."""

    dead_kip: float = same_as(FoundationFigures, "dead_kip", required=True)
    moment_kip_ft: float = same_as(FoundationFigures, "moment_kip_ft", required=True)
    shear_kip: float = same_as(FoundationFigures, "shear_kip", required=True)
    torsion_kip_ft: float = same_as(FoundationFigures, "torsion_kip_ft", default=0.0)
    # whoever names loads without their kind means those of the building code
    kind: LoadKind = same_as(FoundationFigures, "load_kind", default="ASCE strength level")
    wind_strength_factor: float | None = same_as(FoundationFigures, "wind_strength_factor")


@dataclass(frozen=True, kw_only=True)
class ServiceLoad:
    """One allowable-stress combination at the tower's base.

    ``dead_factor`` goes on the weight of pad, pedestal and backfill too.
    """

    name: str
    vertical_kip: float
    moment_kip_ft: float
    shear_kip: float
    torsion_kip_ft: float = 0.0
    dead_factor: float = 1.0


@dataclass(frozen=True, kw_only=True)
class StrengthLoad:
    """One factored combination at the tower's base. ``dead_factor`` as in ServiceLoad."""

    name: str
    vertical_kip: float
    moment_kip_ft: float
    shear_kip: float
    torsion_kip_ft: float = 0.0
    dead_factor: float = 1.0


@dataclass(frozen=True)
class Combined:
    service: tuple[ServiceLoad, ...]
    strength: tuple[StrengthLoad, ...]


def combined(loads: BaseLoads) -> Combined:
    """Service and factored combinations in kip and kip-ft, as of :func:`service` and :func:`strength`."""
    return Combined(service(loads), strength(loads))


def service_factor(kind: LoadKind, wind_strength_factor: float | None = None) -> float:
    """What turns the stated wind into a service wind: 0.6 of ASCE strength level, 1 of IEC and service loads.

    Of a maker's strength level 1 over its own factor, 1.35 where it is not said. ASCE 7-16, 2.4.1 (read in
    secondary copies).
    """
    if kind == "ASCE strength level":
        return ASCE_SERVICE
    if kind == "maker's strength level":
        return 1 / (MAKERS_OWN if wind_strength_factor is None else wind_strength_factor)
    return 1.0


def strength_factor(kind: LoadKind, wind_strength_factor: float | None = None) -> float:
    """What turns the stated wind into a strength-level one.

    1.35 of an IEC gust and 1.6 of a service load, before which a stated factor goes, else 1. IEC 61400-2 for
    an aeroelastic model, and ASCE 7-05 (read in secondary copies).
    """
    if kind in ("ASCE strength level", "maker's strength level") or wind_strength_factor is None:
        return STRENGTH_FACTORS[kind]
    return wind_strength_factor


def service(loads: BaseLoads) -> tuple[ServiceLoad, ...]:
    """D, D + wW, 0.6D + wW in kip and kip-ft, w of :func:`service_factor`. ASCE 7-16, 2.4.1.

    Snow, rain and earthquake are not in it. InputError for a factor on a wind at ASCE strength level.
    """
    _require_sound(loads)
    wind = service_factor(loads.kind, loads.wind_strength_factor)
    return (
        ServiceLoad(name="D", vertical_kip=loads.dead_kip, moment_kip_ft=0.0, shear_kip=0.0),
        *(
            ServiceLoad(
                name=f"{said}D + {_said(wind)}W",
                vertical_kip=dead * loads.dead_kip,
                moment_kip_ft=wind * loads.moment_kip_ft,
                shear_kip=wind * loads.shear_kip,
                torsion_kip_ft=wind * loads.torsion_kip_ft,
                dead_factor=dead,
            )
            for said, dead in (("", 1.0), ("0.6", 0.6))
        ),
    )


def strength(loads: BaseLoads) -> tuple[StrengthLoad, ...]:
    """1.4D, 1.2D + wW, 0.9D + wW in kip and kip-ft, w of :func:`strength_factor`.

    ASCE 7-16, 2.3.1 (read in secondary copies); snow, rain and earthquake are not in it. InputError as
    :func:`service`.
    """
    _require_sound(loads)
    wind = strength_factor(loads.kind, loads.wind_strength_factor)
    return (
        StrengthLoad(
            name="1.4D", vertical_kip=1.4 * loads.dead_kip, moment_kip_ft=0.0, shear_kip=0.0, dead_factor=1.4
        ),
        *(
            StrengthLoad(
                name=f"{dead}D + {_said(wind)}W",
                vertical_kip=dead * loads.dead_kip,
                moment_kip_ft=wind * loads.moment_kip_ft,
                shear_kip=wind * loads.shear_kip,
                torsion_kip_ft=wind * loads.torsion_kip_ft,
                dead_factor=dead,
            )
            for dead in (1.2, 0.9)
        ),
    )


def require_service(loads: Iterable[ServiceLoad]) -> None:
    """Factored loads never size the pad on its ground."""
    if not all(isinstance(load, ServiceLoad) for load in loads):
        raise TypeError("Service loads are wanted here; factored ones were given.")


def require_strength(loads: Iterable[StrengthLoad]) -> None:
    """Service loads never size concrete and steel."""
    if not all(isinstance(load, StrengthLoad) for load in loads):
        raise TypeError("Factored loads are wanted here; service loads were given.")


def _require_sound(loads: BaseLoads) -> None:
    require_valid(loads)
    if loads.kind == "ASCE strength level" and loads.wind_strength_factor not in (None, 1.0):
        raise InputError("wind_strength_factor", "is not put on a wind that is at ASCE strength level.")


def _said(factor: float) -> str:
    """1.0, 0.6, 1.35: one decimal at least."""
    short = f"{factor:.3g}"
    return short if "." in short else f"{short}.0"
