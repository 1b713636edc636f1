"""An invented machine for the tests of turbine and site."""

from __future__ import annotations

from typing import Any

from installs.jobs.models import Job
from installs.turbine.models import TurbineDesign, TurbineModel

KW = (0.0, 0.2, 1.1, 3.2, 6.0, 9.6, 13.2, 15.9, 17.9, 18.8, 19.2, 19.2, 19.0, 18.8, 18.5, 18.5)
CURVE = [{"speed_mph": v / 0.44704, "power_kw": kw} for v, kw in enumerate(KW, start=3)]


def make_model(**fields: Any) -> TurbineModel:
    values = {
        "name": "Plum 19",
        "certificate": "AWEA 9.1-2009, TEST-1",
        "iec_class": "II",
        "rated_kw": 19.0,
        "rotor_diameter_ft": 38.0,
        "speed_low_rpm": 35.0,
        "speed_high_rpm": 105.0,
        "overspeed_rpm": 125.0,
        "cut_in_mph": 6.7,
        "head_weight_lb": 2300.0,
        "center_above_flange_ft": 1.6,
        "center_ahead_ft": 1.0,
        "tail_ft": 13.0,
        "sound_dba": 47.0,
        "curve": CURVE,
        **fields,
    }
    return TurbineModel.objects.create(**values)


def make_turbine(job: Job, model: TurbineModel | None = None, **fields: Any) -> TurbineDesign:
    values = {
        "hub_ft": 114.0,
        "yaw_torque_ft_lb": 260.0,
        "brake_method": "Short-circuit switch closed",
        "lock_method": "Two pins",
        **fields,
    }
    return TurbineDesign.objects.create(job=job, model=model or make_model(), **values)
