"""Reviews the turbine of a job: its papers, speeds, curve, yaw bolts, and how the rotor is held."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from installs.turbine.machine import Given, Machine, machine_of, turbine_given
from installs.turbine.models import TurbineDesign
from sitecalc.checks import Check, Known, Rule, readable
from sitecalc.figures import read
from sitecalc.formula import Formula
from sitecalc.inputs import InputError
from sitecalc.site.curve import AREA, BETZ, betz_kw, require_curve
from sitecalc.site.energy import BETZ_LIMIT, HOURS_PER_YEAR, IEC_SUM, energy_bins
from sitecalc.site.wind import MPS_PER_MPH, STANDARD_DENSITY, weibull_scale
from sitecalc.tower.bolting import Joint, JointResult, joint
from sitecalc.turbine.figures import TurbineFigures

__all__ = ["Given", "TurbineReview", "review", "review_figures", "turbine_given"]

MEANS_MPH = (9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0)
RATED_MEAN_MPH = 5.0 / MPS_PER_MPH  # AWEA 9.1: rated annual energy at 5 m/s (Small Wind Guidebook)
PAPERS = "AWEA 9.1-2009 or IEC 61400-2 certificate; utilities and programs ask for it"
MANUAL = "the maker's installation manual"

MACHINE = Rule("machine", "Turbine", "", PAPERS, Known.PRACTICE)
HUB = Rule(
    "hub-height", "Blades over the ground", "ft", "model small-wind ordinances, 15 to 20 ft", Known.MEMORY
)
# standards of certificates of small turbines (from memory), and words for one that is not held
CERTIFIED_TO = re.compile(r"\b(?:AWEA|ACP|IEC|BWEA|MCS)[ -]?(?:Standard )?\d[\w.:-]*", re.IGNORECASE)
LACKING = re.compile(
    r"\b(?:not|no certificate|none|pending|applied|expired|withdrawn|suspended)\b", re.IGNORECASE
)
# something that must be there: how many of it are missing
CERTIFICATE = Rule("certificate", "Certificate", "missing", PAPERS, Known.PRACTICE)
BRAKE = Rule("brake", "Brake for the lift", "missing", MANUAL, Known.PRACTICE)
ROTOR_LOCK = Rule("rotor-lock", "Rotor lock", "missing", MANUAL, Known.PRACTICE)
OVERSPEED = Rule(
    "overspeed", "Overspeed shutdown", "rpm", "IEC 61400-2, protection against overspeed", Known.MEMORY
)
COEFFICIENT = Rule("power-coefficient", "Power curve", "", BETZ_LIMIT, Known.READ)
RATED = Rule(
    "rated-power", "Rated power", "kW", "rated power and power curve of the same papers", Known.PRACTICE
)
YAW_TORQUE = Rule("yaw-torque", "Yaw-flange bolts", "kip", MANUAL, Known.PRACTICE)
YAW_METHOD = Rule("yaw-method", "Yaw-flange bolts, tightening", "", MANUAL, Known.PRACTICE)

OFFERED = Formula("P0", "wind's power through the rotor at that row", "0.5*1.225*A*(0.44704*v)**3/1000", "kW")
SHARE = Formula("Cp", "greatest power coefficient of the curve", "P/P0", "")


@dataclass(frozen=True)
class YearlyEnergy:
    """At a mean wind at the hub: Rayleigh, 1.225 kg/m3, before losses."""

    mean_mph: float
    kwh: float


@dataclass(frozen=True, kw_only=True)
class TurbineResults:
    """Frozen on release. ``passes`` are the words of each pass on the yaw-flange bolts."""

    name: str
    hub_ft: float | None
    tip_ft: float | None
    blade_bottom_ft: float | None
    greatest_kw: float
    rated_annual_kwh: float
    energy: tuple[YearlyEnergy, ...]
    energy_source: str
    yaw_torque_ft_lb: float | None
    yaw_passes: tuple[str, ...]


@dataclass(frozen=True)
class TurbineReview:
    """``machine`` and ``results`` are None while no machine is chosen."""

    machine: Machine | None
    results: TurbineResults | None
    checks: tuple[Check, ...]


def review(draft: TurbineDesign) -> TurbineReview:
    return review_figures(draft.inputs())


def review_figures(inputs: Mapping[str, Any]) -> TurbineReview:
    """From a draft's or a release's inputs. InputError at the form's field."""
    figures, machine = read(TurbineFigures, inputs), machine_of(inputs["machine"])
    if machine is None:
        why = "No machine is chosen from the catalogue."
        open_check = MACHINE.open(why)
        return TurbineReview(None, None, (open_check,))
    if not machine.curve:
        raise InputError("model", "has no power curve in the catalogue.")
    try:
        require_curve(machine.points, diameter_ft=machine.rotor_diameter_ft, cut_in_mph=machine.cut_in_mph)
    except InputError as error:
        raise InputError("model", f"has a power curve that cannot be used: {error.message}") from None
    bolts = _yaw_joint(figures)
    hub = figures.hub_ft
    if hub is not None and hub <= machine.radius_ft:
        raise InputError("hub_ft", f"is {hub:g} ft; the rotor's radius is {machine.radius_ft:g} ft.")
    return TurbineReview(machine, _results(machine, figures, bolts), _checks(machine, figures, bolts))


def _results(machine: Machine, figures: TurbineFigures, bolts: JointResult) -> TurbineResults:
    hub, torque = figures.hub_ft, figures.yaw_torque_ft_lb
    return TurbineResults(
        name=machine.name,
        hub_ft=hub,
        tip_ft=None if hub is None else hub + machine.radius_ft,
        blade_bottom_ft=None if hub is None else hub - machine.radius_ft,
        greatest_kw=max(p.power_kw for p in machine.points),
        rated_annual_kwh=_annual_kwh(machine, RATED_MEAN_MPH),
        energy=tuple(YearlyEnergy(mean, _annual_kwh(machine, mean)) for mean in MEANS_MPH),
        energy_source=IEC_SUM,
        yaw_torque_ft_lb=torque,
        yaw_passes=tuple(p.words for p in bolts.passes) if torque is not None else (),
    )


def _annual_kwh(machine: Machine, mean_mph: float) -> float:
    """Rayleigh wind, standard density: what the maker's own table says."""
    bins = energy_bins(
        machine.points, weibull_scale(mean_mph, 2), 2, STANDARD_DENSITY, "power", HOURS_PER_YEAR
    )
    return sum(b.energy_kwh for b in bins)


def _yaw_joint(figures: TurbineFigures) -> JointResult:
    """The yaw-flange bolts, set by torque."""
    case = Joint(
        size=figures.yaw_bolt_size,
        grade=figures.yaw_bolt_grade,
        tightening="torque",
        target_ft_lb=figures.yaw_torque_ft_lb,
    )
    try:
        return joint(case)
    except InputError as error:
        field = {"size": "yaw_bolt_size", "grade": "yaw_bolt_grade"}.get(error.field, "yaw_torque_ft_lb")
        raise InputError(field, error.message) from None


def _checks(machine: Machine, figures: TurbineFigures, bolts: JointResult) -> tuple[Check, ...]:
    return (
        _hub(figures, machine),
        _certificate(machine),
        _overspeed(machine),
        _greatest_cp(machine),
        _rated(machine),
        *_yaw_checks(figures, bolts),
        _written(BRAKE, figures.brake_method, "how the rotor is braked"),
        _written(ROTOR_LOCK, figures.lock_method, "how the rotor is locked"),
    )


def _hub(figures: TurbineFigures, machine: Machine) -> Check:
    if figures.hub_ft is None:
        why = "Hub height above grade is not given; setbacks, wind and lift hang on it."
        return HUB.open(why)
    bottom = figures.hub_ft - machine.radius_ft
    return HUB.compare(
        demand=20.0,
        capacity=bottom,
        note=f"Lowest blade tip {readable(bottom)} ft above grade, at least 20 ft.",
    )


def _certificate(machine: Machine) -> Check:
    if not machine.certificate:
        why = f"{machine.name}: no certificate is written in the catalogue."
        return CERTIFICATE.open(why)
    if not names_certificate(machine.certificate):
        return CERTIFICATE.open(
            f"{machine.certificate.strip().rstrip('.')}: this names no certificate to AWEA 9.1, ACP 101-1 or "
            "IEC 61400-2 that is held, by its number."
        )
    return _have(CERTIFICATE, machine.certificate)


def names_certificate(words: str) -> bool:
    """Whether a standard under which small turbines are certified is named, not as what is lacking, and
    a number beside it: of the certificate, for the standard alone is nobody's."""
    beside, standards = CERTIFIED_TO.subn("", words)
    return standards > 0 and re.search(r"\d", beside) is not None and LACKING.search(words) is None


def _written(rule: Rule, words: str, what: str) -> Check:
    return _have(rule, words) if words.strip() else rule.open(f"It is not written {what}.")


def _have(rule: Rule, words: str) -> Check:
    """Something that must be there and is: none missing."""
    return rule.compare(demand=0.0, capacity=0.0, note=f"{words.strip().rstrip('.')}.")


def _overspeed(machine: Machine) -> Check:
    if machine.overspeed_rpm is None or machine.speed_high_rpm is None:
        return OVERSPEED.open("Highest speed of operation or overspeed shutdown is not given.")
    return OVERSPEED.compare(
        demand=machine.speed_high_rpm,
        capacity=machine.overspeed_rpm,
        note=f"Turns up to {machine.speed_high_rpm:g} rpm, shut down at {machine.overspeed_rpm:g} rpm.",
    )


def _greatest_cp(machine: Machine) -> Check:
    """The row of the curve that takes the largest share of the wind."""
    moving = [p for p in machine.points if p.speed_mph > 0]
    best = max(moving, key=lambda p: p.power_kw / betz_kw(p.speed_mph, machine.rotor_diameter_ft))
    area = AREA.step(D=machine.rotor_diameter_ft)
    offered = OFFERED.step(A=area.value, v=best.speed_mph)
    share = SHARE.step(P=best.power_kw, P0=offered.value)
    return COEFFICIENT.compare(
        demand=share.value,
        capacity=BETZ,
        note=f"Takes at most {100 * share.value:.0f} % of the wind, at {best.speed_mph:.3g} mph; "
        f"no rotor takes more than {100 * BETZ:.0f} %.",
        steps=(area, offered, share),
    )


def _rated(machine: Machine) -> Check:
    greatest = max(p.power_kw for p in machine.points)
    return RATED.compare(
        demand=machine.rated_kw,
        capacity=greatest,
        note=f"Rated {machine.rated_kw:g} kW, the curve reaches {greatest:.4g} kW.",
    )


def _yaw_checks(figures: TurbineFigures, bolts: JointResult) -> list[Check]:
    if figures.yaw_torque_ft_lb is None:
        about = f"75 % of proof load would be about {bolts.torque_ft_lb:g} ft-lb"
        why = f"The maker's torque is not given; {about}."
        return [YAW_TORQUE.open(why)]
    found = {check.key: check for check in bolts.checks}
    return [
        _renamed(found[key], rule)
        for key, rule in (("torque", YAW_TORQUE), ("method", YAW_METHOD))
        if key in found
    ]


def _renamed(check: Check, rule: Rule) -> Check:
    """The joint's own check under the turbine's key and title; verdict, figures and source stay as found."""
    return replace(check, key=rule.key, title=rule.title)
