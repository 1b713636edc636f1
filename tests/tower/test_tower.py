"""The tower room: what its review says, what its page does, what it gives to others."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from installs.checklists.services import record
from installs.equipment.models import EquipmentRecord, Wrench
from installs.jobs.services import release_design
from installs.tower import sheets
from installs.tower.book import strip
from installs.tower.drawing import drawings, scale_ft_per_inch
from installs.tower.facts import released_facts
from installs.tower.materials import lines
from installs.tower.review import load_torque, review
from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from tests.make import AT, make_job, make_person, sealed
from tests.tower.make_tower import give_turbine, make_tower, section, splice

pytestmark = pytest.mark.django_db


def check(tower, key):
    return next((c for c in review(tower).checks if c.key == key), None)


def test_a_whole_tower_passes_every_check(tower):
    found = review(tower)
    assert [c.title for c in found.checks if not c.passes] == []
    assert found.results.height_ft == 60
    assert found.results.weight_lb == pytest.approx(3450)


def test_the_center_of_gravity_is_that_of_its_sections(tower):
    """Even weight in each section: sum of weight times its middle, over the sum (statics)."""
    by_hand = (1400 * 10 + 1150 * 30 + 900 * 50) / 3450
    assert review(tower).results.center_ft == pytest.approx(by_hand)


def test_leg_pull_by_hand(tower):
    """M / (sqrt 2 x spacing) - 0.9 W / 4, wind on the diagonal."""
    found = review(tower).results
    by_hand = 140 / (math.sqrt(2) * 7) - 0.9 * (3.45 + 1.4) / 4
    assert found.reactions.pull_kip == pytest.approx(by_hand)


def test_unknown_turbine_leaves_the_frequency_unchecked(job):
    assert check(make_tower(job), "frequency").verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize(
    "missing",
    [
        {"moment_kip_ft": None},
        {"reactions": ""},
        {"reactions": "IEC extreme gust"},
        {"reactions": "maker's service"},
        {"reactions_source": ""},
    ],
)
def test_reactions_that_cannot_be_used_are_not_checked(tower, missing):
    for name, value in missing.items():
        tower.change(**{name: value})
    assert check(tower, "reactions").verdict is Verdict.NOT_CHECKED
    if missing.get("reactions") == "IEC extreme gust":
        tower.change(load_factor=1.35)
        assert check(tower, "reactions") is None
        assert review(tower).results.reactions.strength_moment_kip_ft == pytest.approx(140 * 1.35)


def test_hub_height_must_agree_with_the_turbine_design(tower):
    tower.job.turbine.change(hub_ft=80).save()
    assert check(tower, "hub_height").verdict is Verdict.FAILS


def test_the_worst_joint_speaks_for_all(tower):
    tower.change(joints=[splice(6), splice(1, size="3/8", carries="shear")])
    assert "Joint 2" in check(tower, "bolt_shear").note
    assert check(tower, "bolt_shear").verdict is Verdict.FAILS


def test_a_moment_from_the_rotor_alone_is_caught(tower):
    """2 kip on the hub at 62 ft is 124 kip-ft; the wind on the tower itself comes on top."""
    machine = tower.job.turbine.model
    machine.thrust_kip = 2.0
    machine.save()
    tower.change(wind_mph=115.0, moment_kip_ft=124.0)
    rough = check(tower, "moment_estimate")
    assert rough.verdict is Verdict.FAILS
    assert rough.demand > 150
    tower.change(moment_kip_ft=rough.demand + 1)
    assert check(tower, "moment_estimate").passes


def test_without_a_wind_speed_nothing_is_estimated_and_that_is_said(tower):
    tower.change(wind_mph=None)
    assert check(tower, "moment_estimate").verdict is Verdict.NOT_CHECKED
    assert review(tower).results.estimate is None


def test_a_push_on_the_head_that_nobody_gave_is_not_a_push_of_nothing(tower):
    """With the tower's own wind under what is stated nothing is shown; over it, it fails already."""
    machine = tower.job.turbine.model
    machine.thrust_kip = None
    machine.save()
    assert check(tower, "moment_estimate").verdict is Verdict.NOT_CHECKED
    tower.change(moment_kip_ft=50.0)
    assert check(tower, "moment_estimate").verdict is Verdict.FAILS


def test_without_the_machine_no_bolt_of_a_joint_is_judged(tower):
    """How high the push stands over a joint is not known: at the tower's top its moment is too small."""
    tower.job.turbine.model = None
    tower.job.turbine.save()
    assert check(tower, "bolt_load").verdict is Verdict.NOT_CHECKED and check(tower, "bolt_tension") is None


def test_a_slow_tower_needs_its_own_gust_factor(tower):
    """ASCE 7-16 26.11: under 1 Hz a structure is flexible, G 0.85 does not hold (from memory)."""
    tower.change(wind_mph=115.0, spring_kip_ft_rad=2_000.0)
    assert review(tower).results.frequency.first_hz < 1
    assert check(tower, "moment_estimate").verdict is Verdict.NOT_CHECKED
    tower.change(gust_factor=1.25)
    assert check(tower, "moment_estimate").verdict is not Verdict.NOT_CHECKED


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"sections": []}, "sections", "missing"),
        ({"joints": []}, "joints", "3 sections have 2 joints"),
        ({"sections": [section(84, 66, 1400, 2.7), section(66, 70, 1150, 2.7), section(48, 33, 9e2, 1.7)]},
         "sections", "Section 2, top in"),
        ({"joints": [splice(6), splice(6, grade="8.8")]}, "joints", "Joint 2, grade"),
        ({"kind": "tube"}, "sections", "Section 1, wall in"),
        ({"nut_factor": 0.18}, "joints", "source of K"),
        ({"skip_low_rpm": 100.0}, "skip_high_rpm", "both or neither"),
    ],
)  # fmt: skip
def test_figures_that_contradict_each_other_are_said_at_their_field(tower, change, field, words):
    for name, value in change.items():
        tower.change(**{name: value})
    with pytest.raises(InputError) as caught:
        review(tower)
    assert caught.value.field == field
    assert words in caught.value.message


def test_a_release_gives_back_what_was_reviewed(tower, revision):
    found = review(tower).results
    assert released_facts(revision) == found
    assert revision.inputs["head"]["weight_lb"] == 1400


def test_tube_tower(job):
    give_turbine(job, speed_low_rpm=20.0, speed_high_rpm=40.0, overspeed_rpm=None)
    rows = [
        {**section(bottom, top, None, None), "length_ft": 30.0, "wall_in": wall}
        for bottom, top, wall in ((30.0, 24.0, 0.375), (24.0, 18.0, 0.25))
    ]
    tower = make_tower(job, kind="tube", sections=rows, joints=[splice(24, circle_in=27.0)])
    found = review(tower)
    assert found.results.joints[0].bolts[:2] == ("1", "2")
    assert found.results.legs == 0
    for svg in drawings(found.results).values():
        ET.fromstring(svg)


def test_drawings_are_whole_svg_without_styles_of_their_own(tower):
    facts = review(tower).results
    for for_print in (False, True):
        found = drawings(facts, for_print=for_print)
        assert set(found) == {"elevation", "joint", "legend"}
        for svg in found.values():
            ET.fromstring(svg)
            assert " style=" not in svg and "<style" not in svg


def test_the_elevation_is_true_to_scale(tower):
    """96 px are an inch on paper: the 60 ft of the tower are 60 / scale inches."""
    facts = review(tower).results
    svg = ET.fromstring(drawings(facts)["elevation"])
    per_inch = scale_ft_per_inch(60 + 11.5)
    legs = [
        p
        for g in svg.iter("{http://www.w3.org/2000/svg}g")
        if g.get("class") == "layer-tower"
        for p in g.iter("{http://www.w3.org/2000/svg}polyline")
    ]
    ys = [float(pair.split(",")[1]) for p in legs for pair in p.get("points").split()]
    assert max(ys) - min(ys) == pytest.approx(60 / per_inch * 96, abs=0.1)


def test_a_tower_whose_turbine_is_unknown_is_drawn_too(job):
    found = drawings(review(make_tower(job, moment_kip_ft=None)).results)
    assert "frequency" not in found
    assert "turbine not given" in found["elevation"]


def wrench(office, expires=date(2031, 5, 31)):
    made = Wrench.objects.create(serial="W-07", name="drive wrench", low_ft_lb=50, high_ft_lb=600)
    EquipmentRecord.objects.create(
        wrench=made,
        done_on=date(2030, 6, 1),
        expires_on=expires,
        reference="C-1",
        recorded_by=office,
        recorded_at=AT,
    )


def torqued(job, revision, by, checker):
    """Every entry of a complete log."""
    minutes = iter(range(1, 1000))

    def add(code, subject, who, **fields):
        at = AT + timedelta(minutes=next(minutes))
        with transaction.atomic():
            record(job, code=code, subject=subject, by=who, taken_at=at, received_at=at, **fields)

    used = {"wrench": "W-07"}
    for joint in released_facts(revision).joints:
        for step in joint.passes[:-1]:
            add(f"F0{6 + step.number}", joint.subject(step.number), by, data=used)
        for bolt in joint.bolts:
            last = joint.last_pass
            add("F09", joint.subject(last.number, bolt), by, number=last.torque_ft_lb, data=used)
        add("F10", f"joint {joint.number}", checker, data={"bolts": list(joint.bolts[:4]), **used})


def test_torque_log_of_a_job_from_its_entries(job, revision, office):
    assert not load_torque([job])[job.pk].complete
    wrench(office)
    torqued(job, revision, office, make_person("Kit Moran", "crew"))
    state = load_torque([job])[job.pk]
    assert state.complete, [j.open for j in state.joints]
    assert state.sentence == "all 40 tower bolts torqued and checked"


def test_torque_log_with_a_wrench_whose_calibration_ran_out(job, revision, office):
    wrench(office, expires=date(2031, 5, 1))
    torqued(job, revision, office, make_person("Kit Moran", "crew"))
    assert not load_torque([job])[job.pk].complete


def test_a_job_without_a_released_tower_has_no_torqued_joints(job, tower):
    state = load_torque([job])[job.pk]
    assert not state.complete
    assert state.sentence == "tower not released, its joints are not known"


def test_a_release_that_cannot_be_read_has_no_torqued_joints(job, revision):
    revision.results = {"joints": "twelve"}
    sealed(revision)
    state = load_torque([job])[job.pk]
    assert not state.complete
    assert state.sentence.startswith("tower release A cannot be read")
    assert strip(job, "tower assembly", AT) == ""


def test_torque_logs_of_many_jobs_take_as_many_queries_as_of_one(job, revision, office):
    wrench(office)
    others = [make_job(by=office) for _ in range(6)]
    for other in others:
        give_turbine(other)
        draft = make_tower(other)
        found = review(draft)
        release_design(other, "tower", draft.inputs(), found.results, found.checks, by=office, at=AT)
    with CaptureQueriesContext(
        connection,
    ) as one:
        load_torque([job])
    with CaptureQueriesContext(connection) as many:
        load_torque([job, *others])
    assert len(many) == len(one)


def test_torque_page_and_job_book_drawing(client, office, job, revision):
    client.force_login(office)
    page = client.get(f"/jobs/{job.number}/tower/torque/")
    assert page.status_code == 200
    assert "Pass 1 (snug) not recorded" in page.content.decode()
    svg = strip(job, "tower assembly", AT)
    ET.fromstring(svg)
    assert "to come" in svg
    assert float(ET.fromstring(svg).get("width")) <= 560


def test_job_book_drawing_before_the_release(job):
    assert strip(job, "tower assembly", AT) == ""
    make_tower(job, sections=[])
    assert strip(job, "tower assembly", AT) == ""


def test_bolts_for_the_material_list(revision):
    found = {(line.item, line.detail): line for line in lines(revision)}
    bolts = found["Tower bolts", "3/4 in, SAE 5, joints J1"]
    assert (bolts.quantity, bolts.allowance) == (24, 2)
    assert found["Tower nuts", "5/8 in, SAE 5, joints J2"].quantity == 16
    assert sum(line.item.startswith("Tower section") for line in found.values()) == 3


@pytest.mark.parametrize("name", ["tower", "torque_log"])
def test_paper_sheets_print(job, revision, name):
    from django.template.loader import render_to_string

    context = getattr(sheets, f"{name}_sheet")(job, revision)
    assert {"title", "sheet", "drawings", "checks"} <= set(context)
    html = render_to_string(f"installs/tower/_paper_{name}.html", context)
    assert "currentColor" in html
    assert " style=" not in html
    if name == "torque_log":
        assert html.count("<td></td>") >= 10
        assert "0 of 40 tower bolts" in html


def test_equipment_line(revision):
    (line,) = sheets.equipment(revision)
    assert "60 ft in 3 sections" in line["detail"]


def test_facts_freeze_what_a_changed_release_would_not(tower, revision, office):
    """A second release with other joints is what the log is read against."""
    tower.change(joints=[splice(4), splice(4, size="5/8")])
    tower.save()
    found = review(tower)
    second = release_design(
        tower.job, "tower", tower.inputs(), found.results, found.checks, by=office, at=AT + timedelta(days=1)
    )
    assert second.letter == "B"
    state = load_torque([tower.job])[tower.job.pk]
    assert (state.letter, state.bolts) == ("B", 32)
    assert replace(released_facts(revision), joints=()) == replace(released_facts(second), joints=())
