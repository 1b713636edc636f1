"""What a release gives on: drawings to scale, paper sheets, material lines, the job book."""

from __future__ import annotations

import json
import re
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string

from installs.foundation import book, materials, sheets
from installs.foundation.drawing import draw, paper_drawings, scale_of
from installs.foundation.facts import released_facts
from installs.foundation.legs import bolt_places, leg_places, plate_side_ft
from installs.foundation.models import FoundationDesign
from installs.foundation.review import review
from installs.jobs.drafts import released_figures
from installs.papers.freezing import frozen, thawed
from installs.pour.released_pad import pad_of
from sitecalc.checks import readable
from sitecalc.figures import read, written
from sitecalc.foundation.figures import FoundationFigures
from tests.foundation.make_foundation import FIGURES, make_foundation, release
from tests.make import AT, make_job, make_person
from tests.tower.make_tower import give_turbine, make_tower

pytestmark = pytest.mark.django_db

ODD = [
    {},
    {"base": "3 legs", "anchor_per_leg": 6, "top_above_grade_ft": -1.5, "water_ft": 1.0},
    {"base": "tube", "leg_spacing_ft": 3.0, "anchor_per_leg": 12, "other_side_ft": 24.0},
    {"base": "", "leg_spacing_ft": None, "frost_ft": None, "water_ft": None, "soil": ""},
    {"moment_kip_ft": 9000.0, "top_above_grade_ft": 0.0},
    {"moment_kip_ft": 0.0, "shear_kip": 0.0},
    {"moment_kip_ft": 1500.0, "prevailing": "E", "side_ft": 18.0},
    {"side_ft": 60.0, "thickness_ft": 10.0, "bars": 90, "stock_ft": 20.0, "frost_ft": 0.0},
    {"upper_bar_size": "#6", "upper_bars": 13, "other_side_ft": 20.0, "upper_bars_other": 14},
    {"upper_bars": 12, "outline": "octagon"},
    {"side_ft": 4.0, "thickness_ft": 1.0, "leg_spacing_ft": 1.0, "anchor_pattern_in": 3.0, "bars": 4},
]


@pytest.fixture
def revision(job):
    return release(make_foundation(job), make_person("Rhoda Kell", "engineer"))


@pytest.mark.parametrize("figures", ODD)
def test_odd_foundations_can_be_drawn_printed_and_listed(job, figures):
    draft = make_foundation(job, **figures)
    for svg in draw(draft, review(draft)).values():
        root = ElementTree.fromstring(svg)
        assert not re.search(r'style="|nan|inf"', ElementTree.tostring(root, encoding="unicode"))
    revision = release(draft, make_person("Rhoda Kell", "engineer"))
    assert frozen(sheets.pad_sheet(job, revision)) and frozen(sheets.checks_sheet(job, revision))
    assert materials.lines(revision)
    assert book.strip(job, "excavation", AT).startswith("<svg")


def test_the_plan_says_what_lies_in_each_mat(job):
    """Spaces (17 ft less covers 6 in and db) / (n - 1): 24 #8 at 8.57, 13 #6 at 16.44 in."""
    plain = FoundationDesign(job=job, **FIGURES)
    assert "lower mat the same under it: 24 #8 at 8 1/2 in" in plan_words(plain)
    draft = FoundationDesign(job=job, **FIGURES, upper_bar_size="#6", upper_bars=13)
    words = plan_words(draft)
    assert "upper mat drawn: 13 #6 at 16 1/2 in" in words
    assert "lower mat under it: 24 #8 at 8 1/2 in" in words


def plan_words(draft):
    root = ElementTree.fromstring(draw(draft, review(draft))["pad"])
    return " ".join("".join(text.itertext()) for text in root.iter() if text.tag.endswith("text"))


def test_a_release_that_says_nothing_of_the_upper_mat_opens_with_mats_alike(job, revision):
    before = {k: v for k, v in revision.inputs.items() if not k.startswith("upper_")}
    assert len(before) == len(revision.inputs) - 3
    facts, figures = released_facts(revision), read(FoundationFigures, before)
    drawn = paper_drawings(figures, facts)
    assert drawn == paper_drawings(released_figures(FoundationFigures, revision), facts)
    assert {m.size for m in review(FoundationDesign(job=job, **written(figures))).results.marks} == {"#8"}


def test_the_plan_is_true_to_scale(job):
    """1 in = 3 ft is 32 px a foot: a 16.5 ft side is drawn 528 px long."""
    draft = make_foundation(job, side_ft=16.5, bars=19)
    found = review(draft)
    assert scale_of(found.results) == 3
    svg = ElementTree.fromstring(draw(draft, found)["pad"])
    layer = next(g for g in svg if g.get("class") == "layer-concrete")
    xs, ys = zip(*(map(float, p.split(",")) for p in layer[0].get("points").split()), strict=True)
    assert max(xs) - min(xs) == pytest.approx(528) and max(ys) - min(ys) == pytest.approx(528)


def test_a_larger_pad_is_drawn_at_a_smaller_round_scale(job):
    assert scale_of(review(make_foundation(job, side_ft=30.0, bars=60)).results) == 6


def test_legs_stand_around_the_middle(job):
    """Three legs: sides equal to the spacing, the first leg to the north."""
    legs = review(make_foundation(job, base="3 legs", leg_spacing_ft=9.0)).results.legs
    a, b, c = leg_places(legs)
    for p, q in ((a, b), (b, c), (c, a)):
        assert ((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2) ** 0.5 == pytest.approx(9.0)
    assert sum(p[1] for p in (a, b, c)) == pytest.approx(0) and a[1] > 0
    assert len(bolt_places(legs)) == 4


def test_the_sheet_is_printed_from_the_release_not_the_draft(job, revision):
    sheet = sheets.pad_sheet(job, revision)
    FoundationDesign.objects.get(job=job).change(side_ft=25.0).save()
    job.refresh_from_db()
    assert sheets.pad_sheet(job, revision) == sheet
    assert "17 ft 0 in" in sheet["drawings"]["plan"]
    assert (sheet["sheet"], sheets.checks_sheet(job, revision)["sheet"]) == ("F-1", "F-2")


def test_the_sheets_print_from_their_frozen_values(job, revision):
    """As a worker does: from JSON alone."""
    pad = thawed(json.loads(json.dumps(frozen(sheets.pad_sheet(job, revision)))))
    body = render_to_string("installs/foundation/_paper_pad.html", pad)
    assert "B1" in body and "42.8 yd³" in body and "Anchor bolt," in body and "licensed engineer" in body
    checks = thawed(json.loads(json.dumps(frozen(sheets.checks_sheet(job, revision)))))
    body = render_to_string("installs/foundation/_paper_checks.html", checks)
    assert "Accepted in writing" in body and "1  Pad side, east to west" in body


def test_the_pad_sheet_fits_beside_its_section_on_a_tabloid_page(job):
    """17 in less margins of 1/2 in are 1,536 px; the two views stand side by side."""
    for side in (10.0, 16.5, 20.0, 33.0, 60.0):
        facts = review(FoundationDesign(job=job, **{**FIGURES, "side_ft": side, "bars": 40})).results
        views = paper_drawings(FoundationDesign(job=job, **{**FIGURES, "side_ft": side}).figures, facts)
        widths = [float(re.search(r'width="([0-9.]+)"', svg)[1]) for svg in views.values()]
        assert sum(widths) + 32 <= 1536


def test_the_checks_sheet_names_what_the_engineer_accepted(job, revision):
    accepted = {a["check"] for a in sheets.checks_sheet(job, revision)["acceptances"]}
    assert accepted == {c["title"] for c in revision.checks if c["verdict"] in ("fails", "not checked")}


def test_facts_come_back_from_the_release_as_they_were(job, revision):
    assert released_facts(revision) == review(design_of_job(job)).results
    assert released_figures(FoundationFigures, revision).side_ft == 17.0


def design_of_job(job):
    return FoundationDesign.objects.get(job=job)


def test_materials_hold_bars_and_bolts_and_leave_the_concrete_to_the_pour(revision):
    listed = {(line.item, line.detail.split(",")[0]): line for line in materials.lines(revision)}
    assert listed["Bar #8, Grade 60", "B1"].quantity == 24
    assert listed["Anchor bolt", "1 in dia. x 39 in"].quantity == 16
    assert not any(line.item == "Concrete" for line in materials.lines(revision))


def test_a_release_of_before_that_holds_more_can_still_be_read(revision):
    """Releases are frozen: what the program no longer works out stays in them."""
    revision.results = {**revision.results, "order_yd3": 45.0, "trucks": 5}
    assert released_facts(revision).volume_ft3 == pytest.approx(17 * 17 * 4)


def test_the_pour_finds_the_pad_it_needs(job, revision):
    pad = pad_of(job)
    assert pad is not None
    assert pad["volume_ft3"] == pytest.approx(17 * 17 * 4) and pad["letter"] == "A"


def test_what_the_tower_gave_is_printed_with_its_letter(job):
    """Never "not given" for what the checks were worked with, never a draft where one is released."""
    give_turbine(job)
    tower = make_tower(job)
    engineer = make_person("Rhoda Kell", "engineer")
    given = release(tower, engineer)
    left = ("leg_spacing_ft", "anchor_per_leg", "anchor_pattern_in", "dead_kip", "moment_kip_ft", "shear_kip")
    draft = make_foundation(job, base="", load_kind="", **dict.fromkeys(left))
    revision = release(draft, engineer)
    said = {line["name"]: line for line in sheets.checks_sheet(job, revision)["figures"]}
    assert said["moment_kip_ft"]["value"] == readable(tower.figures.moment_kip_ft)
    assert said["moment_kip_ft"]["source"] == f"tower {given.letter}"
    printed = json.dumps([sheets.pad_sheet(job, revision)["notes"], said], default=str)
    assert "tower's draft" not in printed and f"tower {given.letter}" in printed


def test_a_release_from_before_the_plate_was_a_figure_prints_as_it_did(job, revision):
    legs = {k: v for k, v in revision.results["legs"].items() if not k.startswith("plate_")}
    revision.results = {**revision.results, "legs": legs}
    assert not any("Base plate" in note for note in sheets.pad_sheet(job, revision)["notes"])
    assert plate_side_ft(released_facts(revision).legs) == (FIGURES["anchor_pattern_in"] + 6) / 12


def test_the_side_of_the_plate_is_printed_and_a_proposed_one_says_so(job):
    engineer = make_person("Rhoda Kell", "engineer")
    given = sheets.pad_sheet(job, release(make_foundation(job, base_plate_side_in=15.0), engineer))
    assert "Base plates, side 15 in." in given["notes"]
    other = make_job()
    open_ = sheets.pad_sheet(other, release(make_foundation(other), engineer))
    assert any("15 in as drawn" in note and "proposed" in note for note in open_["notes"])


def test_a_round_pad_has_no_corner(job):
    words = plan_words(make_foundation(job, outline="circle"))
    assert "corner" not in words and re.search(r"edge [\d,]+ psf", words)


def test_every_bar_stands_once_in_the_order(job, revision):
    """By its mark; the same steel is not asked for again by weight."""
    ordered = [line for line in materials.lines(revision) if line.item.startswith("Bar")]
    marks = [line.detail.partition(",")[0] for line in ordered]
    assert marks == [mark.mark for mark in released_facts(revision).marks]
    assert {line.unit for line in ordered} == {"each"} and all(" lb" in line.detail for line in ordered)
