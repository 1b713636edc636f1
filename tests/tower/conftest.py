from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from installs.checklists.services import copy_lists
from installs.equipment.models import EquipmentRecord, Wrench
from installs.jobs.services import add_member, release_design
from installs.tower.review import review
from tests.make import AT, alma, make_job, make_person
from tests.tower.make_tower import give_turbine, make_tower


@pytest.fixture
def office():
    return alma()


@pytest.fixture
def job(office):
    return make_job(by=office)


@pytest.fixture
def tower(job):
    give_turbine(job)
    return make_tower(job)


@pytest.fixture
def revision(tower, office):
    found = review(tower)
    return release_design(tower.job, "tower", tower.inputs(), found.results, found.checks, by=office, at=AT)


@pytest.fixture
def crew(job, office):
    """Ben torques, Kit checks, Alma of the office keys in."""
    people = {name: make_person(full) for name, full in (("ben", "Ben Osgood"), ("kit", "Kit Moran"))}
    for person in people.values():
        add_member(job, person, by=office, at=AT)
    return people


@pytest.fixture
def yesterday(job):
    return job.local(timezone.now()).date() - timedelta(days=1)


@pytest.fixture
def paper(client, office, revision, job, crew, yesterday):
    """Posts a joint's lines; the head is yesterday, Ben, W-07."""
    copy_lists(job, by=office, at=AT)
    for serial, until in (("W-07", yesterday), ("W-02", yesterday - timedelta(days=9))):
        wrench = Wrench.objects.create(serial=serial, name="drive", low_ft_lb=50, high_ft_lb=600)
        done = yesterday - timedelta(days=90)
        EquipmentRecord.objects.create(
            wrench=wrench, done_on=done, expires_on=until, reference="C-1", recorded_by=office, recorded_at=AT
        )
    client.force_login(office)

    def send(joint=1, **lines):
        head = {"on": yesterday.isoformat(), "by": str(crew["ben"].pk), "wrench": "W-07"}
        typed = {**head, **{name.replace("_", "-"): value for name, value in lines.items()}}
        return client.post(f"{reverse('torque-key-in', args=[job.number])}?joint={joint}", typed)

    return send
