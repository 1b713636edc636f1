"""The demo's own lifts: what a visitor sees first is a lift that can be made."""

import pytest

from crew.demo.designs import all_drafts
from crew.demo.machines import make_yard
from crew.demo.people import make_cast
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT
from installs.lift.review import review
from tests.lift.kit import DAY
from tests.make import AT, make_job


@pytest.mark.parametrize("which", [TOWER_LIFT, TURBINE_LIFT])
def test_every_check_of_the_demos_lifts_passes(db: None, which: str) -> None:
    cast = make_cast(AT)
    yard = make_yard(AT.date(), cast["alma"], AT)
    job = make_job(by=cast["alma"])
    drafts = all_drafts(job, cast, yard, AT, DAY)
    found = review(drafts[which])
    assert [(c.title, c.note) for c in found.checks if c.needs_answer] == []
