"""Emergency cards of the demo's jobs; the one whose packet is not yet sent is not complete."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from installs.emergency.forms import EmergencyForm
from installs.emergency.models import EmergencyPlan
from installs.emergency.services import save_plan
from installs.jobs.models import Job
from installs.people.models import User

COUNTY_HOSPITAL = {
    "hospital": "Juniper County Hospital (invented)",
    "hospital_address": "400 Mill Street, Harrow",
    "hospital_phone": "555-0140",
    "utility_phone": "555-0178",
}
# by the number of a job within its year
CARDS: dict[str, dict[str, Any]] = {
    "003": {
        "way_in": "County Road 22, second lane west of the creek; gate stands open, no code.",
        "drive_min": 24, "muster": "Tilley's machine shed, east door",
        "landing": "Hayfield south of the shed; overhead line along the road, 480 ft south of the tower.",
    },
    "008": {
        "way_in": "School drive from Mill Street, past the buses, gravel to the ball field.",
        "drive_min": 6, "muster": "Flagpole in front of the school",
        "landing": "Outfield of the ball field; light poles on its west side, tower 300 ft north.",
    },
    "011": {
        "way_in": "County Road 22 to the dairy sign, second gate: the first is a feedlot and dead ends.",
        "drive_min": 18, "muster": "Milk house, at the tank door",
        "landing": "Stubble east of the pad; line along the road, tower lies on cribbing 90 ft west.",
    },
    "016": {
        "way_in": "County Road 9, gravel lane at the pump house; somebody stands at the road.",
        "drive_min": 21, "muster": "Pump house, road side",
        "landing": "Pasture north of the lane; overhead line 480 ft south.",
    },
    "014": {"way_in": "", "muster": "House, front porch"},
}  # fmt: skip


def give_cards(by: User, at: datetime) -> None:
    for job in Job.objects.all():
        if told := CARDS.get(job.number.partition("-")[2]):
            hospital = COUNTY_HOSPITAL if told.get("drive_min") else {}
            form = EmergencyForm({**hospital, **told}, instance=EmergencyPlan(job=job))
            save_plan(form, job, by=by, at=at)
