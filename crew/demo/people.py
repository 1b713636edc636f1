"""The invented firm and its people: Coulee Bend Wind of Harrow, Juniper County."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Model

from crew.plan.models import Absence, Crew
from installs.people.firm_log import ON_THE_SERVER
from installs.people.firm_rows import write_row
from installs.people.models import Certificate, Firm, User

# name, sign-in, role, firm if not ours, phone, signs in
PEOPLE = (
    ("Alma Reyes", "alma", "office", "", "555-0110", True),
    ("Ben Osgood", "ben", "foreman", "", "555-0111", True),
    ("Tilda Marsh", "tilda", "foreman", "", "555-0112", True),
    ("Gus Pruitt", "gus", "crew", "", "555-0113", True),
    ("Wendell Okafor", "wendell", "crew", "", "555-0114", True),
    ("Ruth Eagleton", "ruth", "crew", "", "555-0115", True),
    ("Iver Quam", "iver", "crew", "", "555-0116", True),
    ("Nadia Brandt", "nadia", "electrician", "", "555-0117", True),
    ("P. Lindqvist, PE", "lindqvist", "engineer", "Lindqvist Structural", "555-0140", True),
    ("Odell Farr", "odell", "crew", "Prairie Hook Crane Rental", "555-0150", False),
)

# sign-in, kind, number, days from today until it expires
CARDS = (
    ("odell", "crane operator", "CO-20714", 410),
    ("ben", "lift director", "LD-118", 620),
    ("ben", "rigger", "R-2204", 300),
    ("tilda", "lift director", "LD-131", 500),
    ("tilda", "signal person", "S-907", 210),
    ("gus", "rigger", "R-2391", 16),
    ("gus", "signal person", "S-871", 330),
    ("wendell", "rigger", "R-2410", 260),
    ("wendell", "climber", "CR-64", 190),
    ("ruth", "climber", "CR-71", 240),
    ("ruth", "signal person", "S-940", 400),
    ("iver", "first aid", "FA-33", 150),
    ("nadia", "electrician", "ME-0000 (demo)", 700),
    ("lindqvist", "engineer", "PE-0000 (demo)", 480),
)


@dataclass(frozen=True)
class Cast:
    people: dict[str, User]
    passwords: dict[str, str]
    pad: Crew
    tower: Crew

    def __getitem__(self, name: str) -> User:
        return self.people[name]


def make_cast(now: datetime) -> Cast:
    """People with random passwords, their cards, two crews and an absence; all of it stands in the firm's log."""
    today, at = now.date(), now - timedelta(days=900)
    firm_row = Firm.objects.create(
        pk=1,
        name="Coulee Bend Wind (demo)",
        town="Harrow, Juniper County",
        license_number="GC-00000 (demo)",
        phone="555-0100",
    )
    people, passwords = {}, {}
    for name, sign_in, role, firm, phone, signs_in in PEOPLE:
        if signs_in:
            passwords[sign_in] = "-".join(secrets.token_hex(2) for _ in range(3))
        initials = "".join(part[0] for part in name.replace(", PE", "").split())
        people[sign_in] = User.objects.create_user(
            sign_in,
            passwords.get(sign_in),
            full_name=name,
            role=role,
            initials=initials,
            firm_name=firm,
            phone=phone,
            is_active=signs_in,
        )
    alma = people["alma"]
    write_row("person", alma, None, by=ON_THE_SERVER, at=at, named=f"{alma}, {alma.role}")
    write_row("firm", firm_row, None, by=alma, at=at)
    for each in people.values():
        if each != alma:
            write_row("person", each, None, by=alma, at=at, named=f"{each}, {each.role}")
    for sign_in, kind, number, days in CARDS:
        card = Certificate.objects.create(
            person=people[sign_in],
            kind=kind,
            number=number,
            issued_on=today - timedelta(days=1000),
            expires_on=today + timedelta(days=days),
            recorded_by=alma,
            recorded_at=at,
        )
        write_row("card", card, None, by=alma, at=at, of={"person": card.person_id}, named=card.in_words)
    pad = Crew.objects.create(name="Pad crew", foreman=people["ben"])
    pad.people.set([people["gus"], people["wendell"], people["iver"]])
    tower = Crew.objects.create(name="Tower crew", foreman=people["tilda"])
    tower.people.set([people["gus"], people["wendell"], people["ruth"]])
    absence = Absence.objects.create(
        person=people["iver"],
        first_on=today + timedelta(days=20),
        last_on=today + timedelta(days=24),
        why="calving",
    )
    rows: tuple[tuple[str, Model], ...] = (("crew", pad), ("crew", tower), ("absence", absence))
    for kind, row in rows:
        write_row(kind, row, None, by=alma, at=at)
    return Cast(people, passwords, pad, tower)
