from __future__ import annotations

import pytest

from installs.jobs.services import release_design
from installs.tower.review import review
from tests.make import AT, alma, make_job
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
