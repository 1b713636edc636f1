"""A tower lift that holds, with an invented crane and chart; tests change one thing at a time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from typing import Any

from installs.equipment.models import Crane, LoadChart, Sling
from installs.equipment.services import add_record
from installs.jobs.models import DesignRevision, Job
from installs.jobs.services import release_design
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT, LiftDesign
from installs.lift.review import review
from installs.people.models import User
from tests.make import AT, alma, make_card, make_job, make_person

DAY, WEATHER_DAY = date(2031, 5, 29), date(2031, 6, 2)
CHART = {
    120: {25: 26_000, 30: 23_000, 35: 20_000, 40: 17_400, 50: 12_800},
    145: {30: 18_400, 35: 16_900, 40: 15_200, 50: 11_400, 60: 8_600},
}
CARDS = {
    "lift_director": "lift director",
    "operator": "crane operator",
    "rigger": "rigger",
    "signals": "signal person",
}


@dataclass
class Kit:
    office: User
    people: dict[str, User]
    crane: Crane
    chart: LoadChart
    job: Job
    lift: LiftDesign
    turbine: LiftDesign

    def release(self, lift: LiftDesign | None = None, at: Any = AT) -> DesignRevision:
        lift = lift or self.lift
        found = review(lift)
        return release_design(
            lift.job, lift.which, lift.inputs(), found.results, found.checks, by=self.office, at=at
        )


def ratings() -> list[dict[str, float]]:
    return [
        {"boom_ft": float(boom), "radius_ft": float(radius), "capacity_lb": float(capacity)}
        for boom, column in CHART.items()
        for radius, capacity in column.items()
    ]


def corners(*rows: tuple[float, float, str]) -> list[dict[str, Any]]:
    return [{"up_ft": up, "out_ft": out, "name": name} for up, out, name in rows]


def make_kit(mark: str = "") -> Kit:
    """``mark`` tells the tags and the crane of a second kit apart."""
    office = alma()
    people = {
        "lift_director": make_person("Dale Rust", "foreman"),
        "operator": make_person("Lyle Fern", "crew", is_active=False, firm_name="Rental of Plum"),
        "rigger": make_person("Nils Arbor", "crew"),
        "signals": make_person("Pete Alder", "crew"),
        "foreman": make_person("June Hazel", "foreman"),
    }
    for name, kind in CARDS.items():
        make_card(people[name], kind, date(2032, 6, 12), issued_on=date(2029, 1, 1))
    crane = Crane.objects.create(
        name="55-ton truck crane",
        unit_number=f"T-55{mark}",
        weight_lb=86_800,
        pin_height_ft=9,
        pin_behind_ft=5,
        boom_depth_ft=2.5,
        across_ft=22,
        along_ft=21,
    )
    chart = LoadChart.objects.create(
        crane=crane,
        configuration="outriggers full out",
        gust_mph=30,
        single_line_lb=9_800,
        ratings=ratings(),
        sha256="0" * 64,
        added_by=office,
        added_at=AT,
    )
    tags = [
        Sling.objects.create(tag=f"{tag}{mark}", kind="roundsling", rating_lb=11_200, length_ft=9.4)
        for tag in ("R-1", "R-2")
    ]
    tags.append(Sling.objects.create(tag=f"S-4{mark}", kind="shackle", rating_lb=9_500))
    for thing in (crane, *tags):
        done = {"done_on": date(2031, 2, 3), "expires_on": date(2032, 2, 3), "reference": "AI-31"}
        add_record(thing, done, by=office, at=AT)
    job = make_job(by=office, members=(people["lift_director"], people["foreman"]))
    common = {
        "crane": crane,
        "chart": chart,
        "boom_ft": 145.0,
        "block_lb": 620.0,
        "line_parts": 2.0,
        "rigging_lb": 190.0,
        "jib_lb": 180.0,
        "weight_known": "certificate",
        "near_sling": tags[0],
        "far_sling": tags[1],
        "shackle": tags[2],
        "mat_length_ft": 6.0,
        "mat_width_ft": 6.0,
        "mat_thick_in": 10.0,
        "soil_psf": 2_000.0,
        "soil_class": "sand",
        "near_hitch": "vertical",
        "far_hitch": "vertical",
        "tag_line_ft": 50.0,
        "on_backfill": "no",
        "excavation_off_ft": 12.0,
        "excavation_deep_ft": 8.0,
        "mat_bending_psi": 1_200.0,
        "mat_shear_psi": 200.0,
        "line_ft": 550.0,
        "line_kv": 7.2,
        "lift_on": DAY,
        "lift_at": time(7, 0),
        "weather_day": WEATHER_DAY,
        **people,
    }
    lift = LiftDesign.objects.create(
        job=job,
        which=TOWER_LIFT,
        radius_ft=35.0,
        foot_ft=1.1,
        pick_ft=108.0,
        rigging_ft=9.9,
        weight_lb=6_480.0,
        length_ft=110.0,
        longest_ft=110.0,
        center_ft=46.0,
        sail_ft2=60.0,
        pick_up_ft=0.9,
        near_ft=0.9,
        far_ft=0.9,
        corners=[
            {"up_ft": 0.0, "out_ft": 4.5, "name": ""},
            {"up_ft": 110.0, "out_ft": 1.0, "name": "tower top"},
        ],
        **common,
    )
    turbine = LiftDesign.objects.create(
        job=job,
        which=TURBINE_LIFT,
        radius_ft=40.0,
        foot_ft=111.1,
        over_ft=2.0,
        pick_ft=8.0,
        rigging_ft=9.7,
        weight_lb=2_900.0,
        length_ft=8.0,
        longest_ft=14.0,
        center_ft=4.0,
        sail_ft2=60.0,
        near_ft=2.0,
        far_ft=2.0,
        corners=corners((0.0, 2.5, ""), (8.0, 2.5, "nacelle")),
        **common,
    )
    return Kit(office, people, crane, chart, job, lift, turbine)
