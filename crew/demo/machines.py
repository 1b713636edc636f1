"""The firm's catalogue of invented machines, a hired crane with its chart, wrenches and slings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.equipment.services import called, say_added
from installs.jobs.sealing import digest
from installs.people.firm_rows import write_row
from installs.people.models import User
from installs.turbine.models import TurbineModel

# Power curves in mph and kW: invented, of the shape of small machines that furl
BLUESTEM_CURVE = (
    (7, 0.1), (9, 0.55), (11, 1.35), (13, 2.55), (15, 4.15), (17, 6.1), (19, 8.3), (21, 10.6), (23, 12.7),
    (25, 14.3), (27, 15.2), (29, 15.5), (32, 15.4), (36, 14.9), (40, 14.2), (45, 13.2), (50, 12.1),
)  # fmt: skip
NEEDLEGRASS_CURVE = (
    (7, 0.3), (9, 1.2), (11, 2.7), (13, 4.8), (15, 7.6), (17, 11.0), (19, 14.8), (21, 18.6), (23, 22.0),
    (25, 24.4), (27, 25.6), (29, 25.9), (32, 25.6), (36, 24.7), (40, 23.5), (45, 21.8), (50, 20.0),
)  # fmt: skip

BLUESTEM: dict[str, Any] = {
    "name": "Bluestem 15",
    "certificate": "AWEA 9.1-2009, DEMO-0000, invented",
    "iec_class": "II",
    "rated_kw": 15.0,
    "rotor_diameter_ft": 30.0,
    "blades": 3,
    "speed_low_rpm": 40.0,
    "speed_high_rpm": 80.0,
    "overspeed_rpm": 94.0,
    "cut_in_mph": 6.5,
    "cut_out_mph": 55.0,
    "survival_mph": 130.0,
    "thrust_kip": 2.4,
    "head_weight_lb": 1340.0,
    "rotor_weight_lb": 410.0,
    "center_above_flange_ft": 1.4,
    "center_ahead_ft": 0.6,
    "hub_above_flange_ft": 1.8,
    "hub_ahead_ft": 2.6,
    "body_length_ft": 4.5,
    "body_height_ft": 1.8,
    "tail_ft": 11.0,
    "wind_area_ft2": 58.0,
    "output": "wild AC, 3-phase",
    "output_v": 280.0,
    "output_max_a": 36.0,
    "open_circuit_v": 430.0,
    "short_circuit_a": 44.0,
    "output_hz": 55.0,
    "regulates_speed": True,
    "brake": "two of these",
    "sound_dba": 52.0,
    "curve": [{"speed_mph": v, "power_kw": p} for v, p in BLUESTEM_CURVE],
}
NEEDLEGRASS: dict[str, Any] = {
    **BLUESTEM,
    "name": "Needlegrass 25",
    "rated_kw": 25.0,
    "rotor_diameter_ft": 39.0,
    "speed_low_rpm": 34.0,
    "speed_high_rpm": 66.0,
    "overspeed_rpm": 78.0,
    "thrust_kip": 4.1,
    "head_weight_lb": 2480.0,
    "rotor_weight_lb": 760.0,
    "wind_area_ft2": 96.0,
    "output_v": 400.0,
    "output_max_a": 42.0,
    "open_circuit_v": 590.0,
    "short_circuit_a": 51.0,
    "sound_dba": 54.0,
    "curve": [{"speed_mph": v, "power_kw": p} for v, p in NEEDLEGRASS_CURVE],
}

SWITCHGRASS_CURVE = (
    (7, 0.05), (9, 0.28), (11, 0.7), (13, 1.3), (15, 2.15), (17, 3.2), (19, 4.4), (21, 5.6), (23, 6.8), (25, 7.7),
    (27, 8.1), (29, 8.2), (32, 8.1), (36, 7.8), (40, 7.4), (45, 6.9), (50, 6.3),
)  # fmt: skip
SWITCHGRASS: dict[str, Any] = {
    **BLUESTEM,
    "name": "Switchgrass 8",
    "rated_kw": 8.0,
    "rotor_diameter_ft": 22.0,
    "speed_low_rpm": 60.0,
    "speed_high_rpm": 130.0,
    "overspeed_rpm": 155.0,
    "thrust_kip": 1.3,
    "head_weight_lb": 690.0,
    "rotor_weight_lb": 195.0,
    "wind_area_ft2": 31.0,
    "hub_ahead_ft": 2.0,
    "body_length_ft": 3.4,
    "body_height_ft": 1.4,
    "tail_ft": 8.0,
    "output_v": 240.0,
    "output_max_a": 23.0,
    "open_circuit_v": 370.0,
    "short_circuit_a": 29.0,
    "sound_dba": 50.0,
    "curve": [{"speed_mph": v, "power_kw": p} for v, p in SWITCHGRASS_CURVE],
}

# boom, radius, capacity: an invented 45-ton hydraulic crane
RATINGS = {
    80: {20: 38_400, 25: 30_100, 30: 24_300, 35: 20_000, 40: 16_700, 50: 12_000, 60: 8_900},
    95: {20: 33_200, 25: 27_000, 30: 22_300, 35: 18_600, 40: 15_800, 50: 11_600, 60: 8_700, 70: 6_700},
    110: {25: 22_800, 30: 19_200, 35: 16_400, 40: 14_200, 50: 10_800, 60: 8_300, 70: 6_500, 80: 5_100},
    125: {25: 18_600, 30: 16_000, 35: 13_900, 40: 12_200, 50: 9_600, 60: 7_700, 70: 6_100, 80: 4_900},
    140: {30: 12_900, 35: 11_500, 40: 10_200, 50: 8_200, 60: 6_700, 70: 5_500, 80: 4_500, 90: 3_700},
}  # fmt: skip


@dataclass(frozen=True)
class Yard:
    """What the firm owns and rents."""

    bluestem: TurbineModel
    needlegrass: TurbineModel
    switchgrass: TurbineModel
    crane: Crane
    chart: LoadChart
    wrench: Wrench
    old_wrench: Wrench
    slings: tuple[Sling, ...]
    shackle: Sling


def make_yard(today: date, by: User, at: datetime) -> Yard:
    crane = Crane.objects.create(
        name="45-ton truck crane",
        unit_number="PH-7",
        owner_firm="Prairie Hook Crane Rental",
        weight_lb=78_000,
        pin_height_ft=8.5,
        pin_behind_ft=4.5,
        boom_depth_ft=2.2,
        across_ft=22,
        along_ft=23,
        tail_swing_ft=12.5,
    )
    ratings = [
        {"boom_ft": float(boom), "radius_ft": float(radius), "capacity_lb": float(capacity)}
        for boom, row in RATINGS.items()
        for radius, capacity in row.items()
    ]
    chart = LoadChart.objects.create(
        crane=crane,
        configuration="outriggers full out, 11,000 lb counterweight, 360 degrees",
        page="12",
        gust_mph=30,
        single_line_lb=9_600,
        ratings=ratings,
        sha256=digest(ratings),
        added_by=by,
        added_at=at,
    )
    wrench = Wrench.objects.create(
        serial="TW-3", name="3/4 in drive click wrench", low_ft_lb=100, high_ft_lb=600
    )
    old = Wrench.objects.create(serial="TW-1", name="3/4 in drive dial wrench", low_ft_lb=60, high_ft_lb=350)
    slings = tuple(
        Sling.objects.create(tag=tag, kind="roundsling", rating_lb=8_400, length_ft=12, weight_lb=9)
        for tag in ("RS-14", "RS-15")
    )
    shackle = Sling.objects.create(tag="SH-22", kind="shackle", rating_lb=9_500, weight_lb=3)
    say_added(chart, by=by, at=at)
    due = ((crane, 150), (wrench, 120), (old, -20), *((s, 200) for s in slings), (shackle, 200))
    for thing, days in due:
        write_row(called(thing), thing, None, by=by, at=at)
        for years_back in (2, 1, 0):
            ends = today + timedelta(days=days - 365 * years_back)
            record = EquipmentRecord.objects.create(
                **{str(type(thing)._meta.model_name): thing},
                done_on=ends - timedelta(days=365),
                expires_on=ends,
                done_by="Harrow Tool and Test",
                reference=f"HT-{thing.pk:03}-{ends.year % 100}",
                recorded_by=by,
                recorded_at=datetime.combine(ends - timedelta(days=364), at.timetz()),
            )
            say_added(record, by=by, at=record.recorded_at)
    machines = [TurbineModel.objects.create(**of) for of in (BLUESTEM, NEEDLEGRASS, SWITCHGRASS)]
    for machine in machines:
        write_row("turbine model", machine, None, by=by, at=at)
    # numbers as any page has them: what is released from them is then the draft, to the digit
    for row in (crane, chart, wrench, old, *slings, shackle, *machines):
        row.refresh_from_db()
    bluestem, needlegrass, switchgrass = machines
    return Yard(
        bluestem=bluestem,
        needlegrass=needlegrass,
        switchgrass=switchgrass,
        crane=crane,
        chart=chart,
        wrench=wrench,
        old_wrench=old,
        slings=slings,
        shackle=shackle,
    )
