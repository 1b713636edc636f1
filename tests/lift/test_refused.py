"""A draft whose figures contradict each other is refused at the field; what was released is still read."""

import pytest
from django.urls import reverse

from installs.lift.checking import review_figures
from installs.lift.models import LiftDesign
from installs.lift.review import load_lifts, review
from installs.people.models import Firm
from installs.tower.models import TowerDesign
from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from tests.lift.kit import Kit
from tests.lift.test_pages import posted

SECTIONS = [
    {
        "length_ft": 55.0,
        "bottom_in": 80.0,
        "top_in": 50.0,
        "weight_lb": 3_500.0,
        "leg_area_in2": 3.0,
        "wall_in": None,
    },
    {
        "length_ft": 55.0,
        "bottom_in": 50.0,
        "top_in": 20.0,
        "weight_lb": 2_980.0,
        "leg_area_in2": 2.0,
        "wall_in": None,
    },
]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"line_ft": 430.0, "no_line_ft": 1_000.0}, "no_line_ft"),
        ({"block_lb": 0.0}, "block_lb"),
        ({"foot_ft": -49.0}, "foot_ft"),
        ({"most_percent": 100.0}, "most_percent"),
    ],
)
def test_figures_that_contradict_each_other_are_refused_at_their_field(kit: Kit, changes, field: str) -> None:
    kit.lift.change(**changes)
    with pytest.raises(InputError) as error:
        review(kit.lift)
    assert error.value.field == field
    # the same figures frozen in a release are read: what is on record stays readable
    review_figures(kit.lift.inputs())


def test_the_page_says_it_at_the_field_and_keeps_nothing(client, kit: Kit) -> None:
    client.force_login(kit.office)
    page = reverse("lift", args=[kit.job.number])
    answer = client.post(page, posted(kit.lift, "keep", no_line_ft="1000"))
    assert answer.status_code == 422 and b"no line within 1,000 ft" in answer.content
    assert LiftDesign.objects.get(pk=kit.lift.pk).figures.no_line_ft is None


def test_a_foot_below_grade_stands_with_a_note_of_who_leveled_it(kit: Kit) -> None:
    kit.lift.change(foot_ft=-2.0)
    kit.lift.notes = {"foot_ft": "leveled by J. Hazel, May 20"}
    assert review(kit.lift).geometry is not None


def test_a_lift_is_judged_by_its_firms_limits(kit: Kit) -> None:
    """49 % of chart: a firm that stops at 45 % permits it nowhere, whatever a lift of it says."""
    Firm.objects.create(pk=1, name="Plum Erectors", critical_percent=40, most_percent=45)
    found = review(kit.lift)
    assert {c.key: c.verdict for c in found.checks}["percent-of-chart"] is Verdict.FAILS
    kit.lift.change(most_percent=60.0)
    with pytest.raises(InputError, match="most_percent"):
        review(kit.lift)
    # and where such a draft was released before, the firm's limit still judges it
    assert review_figures(kit.lift.inputs()).figures.limits.permitted_to == 45


def test_a_plan_in_force_is_held_to_a_firm_that_became_stricter(kit: Kit) -> None:
    kit.release()
    assert load_lifts([kit.job])[kit.job.pk, "tower lift"].missing == ()
    Firm.objects.create(pk=1, name="Plum Erectors", critical_percent=40, most_percent=45)
    assert "the firm's limit is 45 %" in load_lifts([kit.job])[kit.job.pk, "tower lift"].missing[0]


def test_a_laxer_firm_does_not_loosen_a_strict_lift(kit: Kit) -> None:
    Firm.objects.create(pk=1, name="Plum Erectors", most_percent=95)
    kit.lift.change(most_percent=45.0)
    assert {c.key: c.verdict for c in review(kit.lift).checks}["percent-of-chart"] is Verdict.FAILS


def test_the_towers_design_is_held_against_what_is_typed(kit: Kit) -> None:
    TowerDesign.objects.create(job=kit.job, sections=SECTIONS)
    keys = {c.key: c for c in review(kit.lift).checks}
    assert keys["weight-design"].passes and keys["weight-steel"].passes
    kit.lift.change(weight_lb=2_940.0)  # kilograms
    assert {c.key: c for c in review(kit.lift).checks}["weight-design"].verdict is Verdict.FAILS


def test_a_rotor_reaches_toward_the_line_too(kit: Kit) -> None:
    """Radius 40, allowance 2, the drift, and 15 ft of rotor beyond: under 20 ft to a line 75 ft off."""
    kit.turbine.change(line_ft=75.0, longest_ft=15.0, tag_line_ft=0.0)
    assert {c.key: c for c in review(kit.turbine).checks}["power-line"].verdict is Verdict.FAILS
    kit.turbine.change(line_ft=90.0)
    assert {c.key: c for c in review(kit.turbine).checks}["power-line"].passes
    kit.turbine.change(tag_line_ft=50.0)
    assert {c.key: c for c in review(kit.turbine).checks}["power-line"].verdict is Verdict.FAILS
