"""Designs of the demo's jobs: a Bluestem 15 on a 100 ft lattice tower, figures of our own."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from crew.demo.machines import Yard
from crew.demo.people import Cast
from installs.jobs.drafts import Draft
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE
from installs.jobs.services import accept_draft_check, release_design
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT
from installs.people.models import User
from sitecalc.figures import declared

# mean air by month, F: of no place, of the kind of the northern plains
NORMALS = dict(
    zip(
        ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"),
        (11.0, 16.0, 28.0, 43.0, 56.0, 65.0, 71.0, 70.0, 60.0, 46.0, 30.0, 16.0),
        strict=True,
    )
)

SITE: dict[str, Any] = {
    "north_ft": 310.0,
    "east_ft": 265.0,
    "south_ft": 420.0,
    "west_ft": 190.0,
    "things": [
        {"name": "House", "kind": "building", "distance_ft": 340.0, "bearing_deg": 198.0, "height_ft": 24.0,
         "ground_ft": 0.0, "width_ft": 46.0, "ours": "yes"},
        {"name": "Machine shed", "kind": "building", "distance_ft": 235.0, "bearing_deg": 160.0, "height_ft": 20.0,
         "ground_ft": 0.0, "width_ft": 60.0, "ours": "yes"},
        {"name": "Shelterbelt", "kind": "trees", "distance_ft": 390.0, "bearing_deg": 300.0, "height_ft": 32.0,
         "ground_ft": -2.0, "width_ft": 260.0, "ours": "no"},
        {"name": "7.2 kV line", "kind": "overhead line", "distance_ft": 480.0, "bearing_deg": 180.0, "height_ft": 30.0,
         "ground_ft": 0.0, "width_ft": None, "ours": "no"},
        {"name": "County road 9", "kind": "road", "distance_ft": 440.0, "bearing_deg": 180.0, "height_ft": None,
         "ground_ft": None, "width_ft": None, "ours": "no"},
    ],
    "surveyed_ft": 600.0,
    "property_multiple": 1.1,
    "dwelling_multiple": 1.5,
    "road_multiple": 1.1,
    "line_multiple": 1.1,
    "ordinance": "Juniper County 8-12, invented",
    "mean_mph": 12.6,
    "wind_at_ft": 98.0,
    "monthly": [
        {"jan": 13.8, "feb": 13.3, "mar": 13.8, "apr": 14.0, "may": 13.0, "jun": 11.6,
         "jul": 10.5, "aug": 10.3, "sep": 11.8, "oct": 12.9, "nov": 13.2, "dec": 13.2}
    ],
    "elevation_ft": 1560.0,
    "temperature_f": 42.0,
    "runways": [
        {"name": "Harrow 13/31", "use": "runway", "distance_ft": 31_000.0, "elevation_ft": 1544.0, "longest_ft": 3600.0}
    ],
    "airports_listed": True,
    "sound_limit_dba": 55.0,
    "sound_ordinance": "Juniper County 8-14, invented",
    "trench": [{"bearing_deg": 165.0, "distance_ft": 120.0}, {"bearing_deg": 163.0, "distance_ft": 240.0}],
    "pad_bearing_deg": 75.0,
    "pad_distance_ft": 36.0,
    "pad_ft": 40.0,
    "access": "gravel lane from county road 9, 16 ft wide, dry since May",
    "frost_ft": 4.5,
    "codes": "IBC 2021, NEC 2023 (invented for the demo)",
    "soil": "stiff lean clay to 11 ft, test pit dry",
}  # fmt: skip
TURBINE: dict[str, Any] = {
    "hub_ft": 103.3,
    "serial": "BL-0093",
    "yaw_torque_ft_lb": 360.0,
    "brake_method": "brake switch to short, then the pin through the yaw ring",
    "lock_method": "strap from blade A to the tower, tagged",
}
TOWER: dict[str, Any] = {
    "kind": "lattice, 4 legs",
    "sections": [
        {"length_ft": 20.0, "bottom_in": b, "top_in": t, "weight_lb": w, "leg_area_in2": a, "wall_in": None}
        for b, t, w, a in (
            (84.0, 70.0, 1520.0, 3.6),
            (70.0, 56.0, 1290.0, 3.1),
            (56.0, 43.0, 1080.0, 2.7),
            (43.0, 31.0, 860.0, 2.2),
            (31.0, 20.0, 690.0, 1.9),
        )
    ],
    "joints": [
        {"bolts": 6.0, "size": "3/4", "grade": "SAE 5", "carries": "tension", "tightening": "torque",
         "torque_ft_lb": 255.0, "grip_in": 3.5, "circle_in": None},
        {"bolts": 6.0, "size": "3/4", "grade": "SAE 5", "carries": "tension", "tightening": "torque",
         "torque_ft_lb": 255.0, "grip_in": 3.5, "circle_in": None},
        {"bolts": 4.0, "size": "3/4", "grade": "SAE 5", "carries": "tension", "tightening": "torque",
         "torque_ft_lb": 255.0, "grip_in": 3.0, "circle_in": None},
        {"bolts": 4.0, "size": "3/4", "grade": "SAE 5", "carries": "tension", "tightening": "torque",
         "torque_ft_lb": 255.0, "grip_in": 3.0, "circle_in": None},
    ],
    "moment_kip_ft": 470.0,
    "shear_kip": 6.9,
    "reactions": "ASCE strength level",
    "reactions_source": "tower maker's sheet 7, 115 mph, exposure C (invented)",
    "load_factor": 1.0,
    "wind_mph": 115.0,
    "risk_category": "II",
    # legs of pipe, braces of rod
    "round_members": True,
    "spring_kip_ft_rad": 900_000.0,
    "anchor_bolts": 4,
    "anchor_pattern_in": 10.0,
}  # fmt: skip
FOUNDATION: dict[str, Any] = {
    "side_ft": 16.0,
    "thickness_ft": 5.0,
    "top_above_grade_ft": 0.5,
    "frost_ft": 4.5,
    "bars": 27,
    "bar_size": "#8",
    "upper_bars": 16,
    "upper_bar_size": "#6",
    "bar_ends": "90 degree",
    "cover_lower_in": 3.0,
    "cover_upper_in": 2.0,
    "water_ft": 11.0,
    "soil": "CL",
    "embedment_in": 36.0,
    "base_plate_in": 1.25,
    "base_plate_side_in": 16.0,
    "torsion_kip_ft": 4.0,
    "seismic_category": "A",
}
POUR: dict[str, Any] = {
    "fc_psi": 4500.0,
    "w_cm": 0.44,
    "exposure": "F2",
    "erection_psi": 3375.0,
    "expected_28_psi": 5100.0,
    "normals": [NORMALS],
    "plant": "Juniper Ready Mix, 555-0160",
    "mix_code": "JR-4500A",
    "special_inspector": "M. Teigen, Harrow Testing",
    "pairs": [
        {"age_days": age, "psi": psi}
        for age, psi in ((1.0, 1420.0), (3.0, 2730.0), (7.0, 3430.0), (14.0, 4390.0), (28.0, 5060.0))
    ],
}
GROUND_STATION: dict[str, Any] = {
    "one_two_family": False,
    "shutdown_button": True,
    "rectifier": "controller RC-15 (invented)",
    "input_max_v": 600.0,
    "inverter": "interactive inverter GI-15 (invented)",
    "inverter_listed": True,
    "inverter_a": 62.5,
    "inverter_fault_a": 75.0,
    "backfeed_a": 0.0,
    "tower_grounded": True,
    "runs": [
        {"name": "Tower and trench", "side": "turbine to inverter", "origin": "turbine", "end": "rectifier",
         "length_ft": 350.0, "size": "2", "metal": "copper", "insulation": "THWN-2", "sets": 1.0, "neutral": "no",
         "ground_size": "2", "carrying": 3.0, "ambient_f": 104.0, "terminals": "75 C", "conduit": "PVC 40",
         "trade_size": "2", "location": "open ground", "cover_in": 24.0, "vertical_ft": 100.0,
         "support_ft": 60.0, "breaker_a": None, "interrupting_a": None, "drop_limit_pct": 3.0},
        {"name": "Inverter to panel", "side": "inverter to service", "origin": "inverter", "end": "panel",
         "length_ft": 40.0, "size": "3", "metal": "copper", "insulation": "THWN-2", "sets": 1.0, "neutral": "yes",
         "ground_size": "6", "carrying": 2.0, "ambient_f": 86.0, "terminals": "75 C", "conduit": "PVC 40",
         "trade_size": "1-1/4", "location": "open ground", "cover_in": 24.0, "vertical_ft": None,
         "support_ft": None, "breaker_a": 80.0, "interrupting_a": 22_000.0, "drop_limit_pct": 1.5},
    ],
    "disconnects": [
        {"name": "AC disconnect", "rating_a": 100.0, "withstand_a": 22_000.0, "fused": "yes", "fuse_a": 80.0,
         "lockable": "yes", "utility": "yes"}
    ],
    "panel_bus_a": 400.0,
    "panel_main_a": 400.0,
    "main_interrupting_a": 22_000.0,
    "breaker_position": "opposite end from main",
    "breakers_sum_a": 310.0,
    "surge": "Type 1 and 2",
    "service_kva": 50.0,
    "service_z_pct": 2.0,
    "service_x_over_r": 1.6,
    "service_ft": 60.0,
    "electrode": "ground ring",
    "electrode_size": "2",
    "electrode_ft": 60.0,
    "rods": 4,
    "electrode_ohm": 6.0,
}  # fmt: skip


def draft(part: str, job: Job, by: User, at: datetime, values: dict[str, Any]) -> Draft:
    """The draft of a part with these figures and catalogue rows, checked like a form's."""
    kept = TABLE[part].draft_of(job)
    rows = {f.name for f in declared(kept.FIGURES) if f.is_row}
    for name in rows & set(values):
        setattr(kept, name, values[name])
    kept.change(**{name: value for name, value in values.items() if name not in rows})
    kept.changed_by, kept.changed_at = by, at
    kept.full_clean()
    kept.save()
    return kept


def release(
    kept: Any, part: str, by: User, engineer: User, at: datetime, reasons: dict[str, str] | None = None
) -> DesignRevision:
    """Release a draft; whatever neither passes nor has a reason here is accepted in the engineer's general words."""
    found = TABLE[part].review(kept)
    inputs = kept.inputs()
    for check in found.checks:
        if check.needs_answer:
            words = (reasons or {}).get(check.key, "Checked in my own calculation, sheet 14; accepted.")
            accept_draft_check(kept.job, part, inputs, check, words, by=engineer, at=at)
    return release_design(kept.job, part, inputs, found.results, found.checks, by=by, at=at)


def lift_values(cast: Cast, yard: Yard, on: date, which: str) -> dict[str, Any]:
    common = {
        "crane": yard.crane,
        "chart": yard.chart,
        "block_lb": 520.0,
        "line_parts": 2.0,
        "jib_lb": 380.0,
        "near_sling": yard.slings[0],
        "far_sling": yard.slings[1],
        "shackle": yard.shackle,
        "near_hitch": "vertical",
        "far_hitch": "vertical",
        "near_ft": 1.25,
        "far_ft": 1.25,
        "rigging_lb": 60.0,
        "rigging_ft": 12.44,
        "foot_ft": 0.5,
        "mat_length_ft": 8.0,
        "mat_width_ft": 6.0,
        "mat_thick_in": 8.0,
        "mat_lb": 930.0,
        "mat_bending_psi": 1200.0,
        "mat_shear_psi": 150.0,
        "soil_psf": 1500.0,
        "soil_class": "clay or silt",
        "on_backfill": "no",
        "excavation_off_ft": 14.0,
        "excavation_deep_ft": 4.5,
        "line_ft": 430.0,
        "line_kv": 7.2,
        "tag_line_ft": 60.0,
        "lift_director": cast["ben"],
        "operator": cast["odell"],
        "rigger": cast["wendell"],
        "signals": cast["tilda"],
        "foreman": cast["tilda"],
        "radio": "3",
        "lift_on": on,
        "weather_day": on + timedelta(days=1),
    }
    if which == TOWER_LIFT:
        return {
            **common,
            "boom_ft": 125.0,
            "radius_ft": 32.0,
            # lifting frame bolted on the tower's top, its lugs outside the legs: the hook stays over the top
            "pick_ft": 100.0,
            "rigging_lb": 170.0,
            "sail_ft2": 120.0,
            "lift_at": "07:00",
        }
    # rotor toward the crane, strapped with one blade straight down; the tail held away by its tag line
    corners = [
        {"up_ft": 0.0, "out_ft": 1.5, "name": "yaw flange"},
        {"up_ft": 2.7, "out_ft": 2.3, "name": "body"},
        {"up_ft": 9.3, "out_ft": 2.6, "name": "blade tips"},
    ]
    return {
        **common,
        "foot_ft": 101.0,
        "boom_ft": 140.0,
        "radius_ft": 34.0,
        "sail_ft2": 58.0,
        "lift_at": "12:30",
        "pick_ft": 2.8,
        "length_ft": 2.7,
        "center_ft": 1.4,
        "corners": corners,
    }


def all_drafts(
    job: Job, cast: Cast, yard: Yard, at: datetime, lift_on: date, **changes: dict[str, Any]
) -> dict[str, Any]:
    """Every part's draft of a job; ``changes`` override figures by part."""
    by = cast["alma"]

    def values(part: str, base: dict[str, Any]) -> dict[str, Any]:
        return {**base, **changes.get(part, {})}

    figures = {
        "site": SITE,
        "turbine": {**TURBINE, "model": yard.bluestem},
        "tower": TOWER,
        "foundation": FOUNDATION,
        "ground_station": GROUND_STATION,
        "pour": POUR,
        **{which: lift_values(cast, yard, lift_on, which) for which in (TOWER_LIFT, TURBINE_LIFT)},
    }
    return {part: draft(part, job, by, at, values(part, base)) for part, base in figures.items()}
