"""The turbine of a job: what is not given is not checked, and a release keeps the machine's figures."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from installs.jobs.services import release_design
from installs.turbine.book import strip
from installs.turbine.drawing import draw
from installs.turbine.machine import turbine_given
from installs.turbine.materials import lines
from installs.turbine.models import TurbineDesign
from installs.turbine.review import review
from installs.turbine.sheets import equipment, turbine_sheet
from sitecalc.checks import Check, Verdict
from sitecalc.inputs import InputError
from tests.make import AT, alma, make_job
from tests.turbine.machines import make_model, make_turbine

pytestmark = pytest.mark.django_db


def check(design: TurbineDesign, key: str) -> Check:
    return next(c for c in review(design).checks if c.key == key)


def test_without_a_machine_nothing_passes() -> None:
    found = review(TurbineDesign(job=make_job()))
    assert [c.verdict for c in found.checks] == [Verdict.NOT_CHECKED]
    assert found.results is None


def test_a_machine_with_its_papers_passes() -> None:
    found = review(make_turbine(make_job()))
    assert all(c.passes for c in found.checks), [c.note for c in found.checks if not c.passes]
    assert found.results is not None
    assert found.results.tip_ft == 133.0 and found.results.blade_bottom_ft == 95.0


@pytest.mark.parametrize(
    ("key", "fields"),
    [
        ("certificate", {"certificate": ""}),
        ("certificate", {"certificate": "invented machine, certified to nothing"}),
        ("certificate", {"certificate": "not certified to AWEA 9.1-2009"}),
        ("certificate", {"certificate": "IEC 61400-2, applied for"}),
        ("certificate", {"certificate": "IEC 61400-2:2013"}),
        ("certificate", {"certificate": "AWEA 9.1-2009 and IEC 61400-2"}),
        ("overspeed", {"overspeed_rpm": None}),
    ],
)
def test_what_the_papers_do_not_say_is_not_checked(key: str, fields: dict[str, object]) -> None:
    design = make_turbine(make_job(), make_model(**fields))
    assert check(design, key).verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize(
    ("key", "fields"),
    [
        ("hub-height", {"hub_ft": None}),
        ("yaw-torque", {"yaw_torque_ft_lb": None}),
        ("brake", {"brake_method": "  "}),
        ("rotor-lock", {"lock_method": ""}),
    ],
)
def test_what_the_job_does_not_say_is_not_checked(key: str, fields: dict[str, object]) -> None:
    assert check(make_turbine(make_job(), **fields), key).verdict is Verdict.NOT_CHECKED


def test_a_torque_beyond_the_clamp_fails() -> None:
    """3/4-10 SAE J429 grade 8: proof 120 ksi x 0.334 in2, of it 75 %; T = K D F at K 0.2 is 376 ft-lb."""
    job = make_job()
    within = make_turbine(job, yaw_torque_ft_lb=370.0)
    assert check(within, "yaw-torque").passes
    within.change(yaw_torque_ft_lb=385.0)
    assert check(within, "yaw-torque").verdict is Verdict.FAILS


def test_a_rotor_that_runs_past_its_shutdown_fails() -> None:
    design = make_turbine(make_job(), make_model(overspeed_rpm=100.0))
    assert check(design, "overspeed").verdict is Verdict.FAILS


def test_a_rating_above_the_curve_fails() -> None:
    design = make_turbine(make_job(), make_model(rated_kw=25.0))
    assert check(design, "rated-power").verdict is Verdict.FAILS


def test_a_hub_below_its_rotor_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        review(make_turbine(make_job(), hub_ft=18.0))
    assert caught.value.field == "hub_ft"


def test_a_machine_without_a_curve_is_said_at_its_field() -> None:
    with pytest.raises(InputError) as caught:
        review(make_turbine(make_job(), make_model(curve=[])))
    assert caught.value.field == "model"


def test_other_parts_are_given_the_machine_and_the_hub() -> None:
    job = make_job()
    assert turbine_given(job) is None
    make_turbine(job)
    given = turbine_given(job)
    assert given is not None and given.hub_ft == 114.0
    assert given.machine.head_weight_lb == 2300.0 and given.machine.points[1].power_kw == 0.2


def test_a_release_keeps_the_machine_it_was_released_with() -> None:
    job, office = make_job(), alma()
    design = make_turbine(job)
    found = review(design)
    revision = release_design(job, "turbine", design.inputs(), found.results, found.checks, by=office, at=AT)
    design.model.name, design.model.head_weight_lb = "Changed", 9999.0
    design.model.save()
    sheet = turbine_sheet(job, revision)
    assert ("Head with rotor", "2,300 lb") in sheet["lines"]
    assert equipment(revision)[0]["item"] == "Wind turbine, Plum 19"
    assert [line.quantity for line in lines(revision)] == [1, 12, 12, 12]
    assert "Plum 19" in strip(job, "commissioning", AT)


@pytest.mark.parametrize("fields", [{}, {"tail_ft": 0.0}, {"hub_ahead_ft": -3.0}, {"center_ahead_ft": None}])
@pytest.mark.parametrize("diameter", [6.0, 38.0, 95.0])
def test_the_drawings_are_whole_and_styled_by_attributes(fields: dict[str, object], diameter: float) -> None:
    curve = [{"speed_mph": v, "power_kw": p} for v, p in ((7.0, 0.0), (15.0, 0.1), (25.0, 0.4))]
    model = make_model(rotor_diameter_ft=diameter, curve=curve, rated_kw=0.4, **fields)
    design = make_turbine(make_job(), model)
    drawn = draw(design, review(design))
    assert set(drawn) == {"front", "side", "curve"}
    for svg in drawn.values():
        ElementTree.fromstring(svg)
        assert "style=" not in svg and "<style" not in svg
