"""Designs of two jobs of the demo that are not like the others: a tall lattice, and a short tube on an octagon."""

from __future__ import annotations

from typing import Any

from crew.demo.designs import GROUND_STATION, SITE, TOWER
from crew.demo.machines import Yard
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT

BIG, SMALL = TOWER["joints"][0], TOWER["joints"][3]
TRENCH, HOUSE = GROUND_STATION["runs"]
DISCONNECT = GROUND_STATION["disconnects"][0]
THINGS = {thing["name"]: thing for thing in SITE["things"]}

# a 25 kW machine on 140 ft of lattice: more than the firm's usual crane can lift in one piece
TALL_TOWER: dict[str, Any] = {
    "sections": [
        {"length_ft": 20.0, "bottom_in": b, "top_in": t, "weight_lb": w, "leg_area_in2": a, "wall_in": None}
        for b, t, w, a in (
            (138.0, 118.0, 3650.0, 7.2),
            (118.0, 99.0, 3120.0, 6.4),
            (99.0, 81.0, 2640.0, 5.6),
            (81.0, 64.0, 2180.0, 4.8),
            (64.0, 49.0, 1740.0, 4.0),
            (49.0, 35.0, 1330.0, 3.2),
            (35.0, 24.0, 1010.0, 2.6),
        )
    ],
    "joints": [BIG | {"bolts": 8.0}, BIG | {"bolts": 8.0}, BIG, BIG, SMALL, SMALL],
    "moment_kip_ft": 1140.0,
    "shear_kip": 11.2,
    "reactions_source": "tower maker's sheet 9, 115 mph, exposure C (invented)",
    "spring_kip_ft_rad": 3_000_000.0,
    "anchor_bolts": 6,
    "anchor_pattern_in": 13.0,
}
TALL_FOUNDATION: dict[str, Any] = {
    "side_ft": 23.0,
    "thickness_ft": 5.0,
    "bars": 38,
    "upper_bars": 24,
    "embedment_in": 40.0,
}
TALL_STATION: dict[str, Any] = {
    "rectifier": "controller RC-25 (invented)",
    "input_max_v": 800.0,
    "insulation_v": 1000.0,
    "inverter": "interactive inverter GI-25 (invented)",
    "inverter_a": 104.2,
    "inverter_fault_a": 125.0,
    "breakers_sum_a": 380.0,
    "runs": [
        TRENCH | {"length_ft": 400.0, "size": "1", "ground_size": "1", "vertical_ft": 140.0},
        HOUSE | {"size": "1/0", "ground_size": "6", "trade_size": "2", "breaker_a": 150.0},
    ],
    "disconnects": [DISCONNECT | {"rating_a": 200.0, "fuse_a": 150.0}],
}

# an 8 kW machine on 60 ft of tube, beside a township's hall
SHORT_SITE: dict[str, Any] = {
    "north_ft": 205.0,
    "east_ft": 180.0,
    "south_ft": 240.0,
    "west_ft": 150.0,
    "things": [
        THINGS["House"] | {"name": "Township hall", "distance_ft": 150.0, "bearing_deg": 140.0, "height_ft": 19.0,
                           "width_ft": 70.0},
        THINGS["Machine shed"] | {"name": "Salt shed", "distance_ft": 120.0, "bearing_deg": 205.0, "height_ft": 16.0,
                                  "width_ft": 36.0},
        THINGS["7.2 kV line"] | {"distance_ft": 505.0, "bearing_deg": 178.0},
        THINGS["County road 9"] | {"name": "County road 31", "distance_ft": 255.0},
    ],
    "trench": [{"bearing_deg": 165.0, "distance_ft": 70.0}, {"bearing_deg": 148.0, "distance_ft": 140.0}],
    "pad_bearing_deg": 60.0,
    "pad_distance_ft": 30.0,
    "pad_ft": 34.0,
    "access": "paved lot of the hall, 20 ft gate",
}  # fmt: skip
SHORT_TOWER: dict[str, Any] = {
    "kind": "tube",
    "sections": [
        {
            "length_ft": 20.0,
            "bottom_in": b,
            "top_in": t,
            "weight_lb": w,
            "leg_area_in2": None,
            "wall_in": wall,
        }
        for b, t, w, wall in (
            (24.0, 20.0, 1560.0, 0.3125),
            (20.0, 16.0, 1010.0, 0.25),
            (16.0, 12.75, 800.0, 0.25),
        )
    ],
    "joints": [BIG | {"bolts": 12.0, "grip_in": 2.5, "circle_in": circle} for circle in (24.0, 20.0)],
    "moment_kip_ft": 150.0,
    "shear_kip": 2.9,
    "reactions_source": "tower maker's sheet 3, 115 mph, exposure C (invented)",
    "round_members": False,
    "spring_kip_ft_rad": 300_000.0,
    # the machine's controller runs through these speeds, for the tower answers to them
    "skip_low_rpm": 66.0,
    "skip_high_rpm": 86.0,
    "anchor_bolts": 12,
    "anchor_pattern_in": 29.0,
}
SHORT_FOUNDATION: dict[str, Any] = {
    "outline": "octagon",
    "side_ft": 13.0,
    "bars": 22,
    "upper_bars": 14,
    "base_plate_side_in": 33.0,
    "base_plate_in": 1.5,
    "torsion_kip_ft": 1.5,
}
SHORT_STATION: dict[str, Any] = {
    "rectifier": "controller RC-8 (invented)",
    "inverter": "interactive inverter GI-8 (invented)",
    "inverter_a": 33.3,
    "inverter_fault_a": 40.0,
    "breakers_sum_a": 290.0,
    "runs": [
        TRENCH
        | {"length_ft": 310.0, "size": "4", "ground_size": "4", "trade_size": "1", "vertical_ft": 60.0},
        HOUSE | {"size": "6", "ground_size": "8", "trade_size": "1", "breaker_a": 50.0},
    ],
    "disconnects": [DISCONNECT | {"rating_a": 60.0, "fuse_a": 50.0}],
}


def tall(yard: Yard) -> dict[str, dict[str, Any]]:
    """What is other, by part; the foundation is that of the engineer's first thought, not deep enough for frost."""
    thin = {"thickness_ft": 4.5, "water_ft": None}
    return {
        "turbine": {"model": yard.needlegrass, "hub_ft": 143.3, "serial": "NG-0031"},
        "tower": TALL_TOWER,
        "foundation": TALL_FOUNDATION | thin,
        "ground_station": TALL_STATION,
        # the longest boom there is: the tower's top is above it
        TOWER_LIFT: {"boom_ft": 140.0, "radius_ft": 40.0, "pick_ft": 140.0, "sail_ft2": 260.0},
        TURBINE_LIFT: {"foot_ft": 141.0, "sail_ft2": 96.0},
    }


def short(yard: Yard) -> dict[str, dict[str, Any]]:
    """What is other, by part."""
    return {
        "site": SHORT_SITE,
        "turbine": {
            "model": yard.switchgrass,
            "hub_ft": 61.6,
            "serial": "SW-0012",
            "yaw_torque_ft_lb": 140.0,
        },
        "tower": SHORT_TOWER,
        "foundation": SHORT_FOUNDATION,
        "ground_station": SHORT_STATION,
        TOWER_LIFT: {"boom_ft": 95.0, "radius_ft": 30.0, "pick_ft": 60.0, "sail_ft2": 100.0},
        TURBINE_LIFT: {"foot_ft": 61.0, "boom_ft": 95.0, "radius_ft": 30.0},
    }
