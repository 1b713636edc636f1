"""An invented tower and machine for the tests of this room."""

from __future__ import annotations

from typing import Any

from installs.jobs.models import Job
from installs.tower.models import TowerDesign
from installs.turbine.models import TurbineDesign, TurbineModel


def section(bottom: float, top: float, weight: float | None, area: float | None) -> dict[str, Any]:
    return {
        "length_ft": 20.0,
        "bottom_in": bottom,
        "top_in": top,
        "weight_lb": weight,
        "leg_area_in2": area,
        "wall_in": None,
    }


def splice(bolts: float, **other: Any) -> dict[str, Any]:
    return {
        "bolts": bolts,
        "size": "3/4",
        "grade": "SAE 5",
        "carries": "tension",
        "tightening": "torque",
        "torque_ft_lb": None,
        "grip_in": None,
        "circle_in": None,
        **other,
    }


def sections() -> list[dict[str, Any]]:
    return [section(84, 66, 1400, 2.7), section(66, 48, 1150, 2.25), section(48, 33, 900, 1.7)]


def give_turbine(job: Job, **other: Any) -> TurbineDesign:
    figures = {
        "name": f"Test machine of {job.number}",
        "rated_kw": 12.0,
        "rotor_diameter_ft": 23.0,
        "head_weight_lb": 1400.0,
        "speed_low_rpm": 150.0,
        "speed_high_rpm": 240.0,
        "overspeed_rpm": 280.0,
        "thrust_kip": 0.8,
        **other,
    }
    machine = TurbineModel.objects.create(**figures)
    return TurbineDesign.objects.create(job=job, model=machine, hub_ft=62.0)


def make_tower(job: Job, **other: Any) -> TowerDesign:
    figures = {
        "sections": sections(),
        "joints": [splice(6), splice(4, size="5/8")],
        "moment_kip_ft": 140.0,
        "shear_kip": 3.1,
        "reactions": "ASCE strength level",
        "reactions_source": "letter of the tower's maker",
        "spring_kip_ft_rad": 80_000.0,
        "wind_mph": 90.0,
        **other,
    }
    return TowerDesign.objects.create(job=job, **figures)
