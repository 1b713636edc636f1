"""From the draft to checks: what is taken from the tower, what is refused."""

from __future__ import annotations

import re

import pytest

from installs.foundation.anchors import bolts_of
from installs.foundation.bolt_template import cut_file
from installs.foundation.legs import bolt_places, leg_places
from installs.foundation.models import FoundationDesign
from installs.foundation.review import reach_ft, review, smallest
from installs.foundation.words import rose_words, would_pass
from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from tests.foundation.make_foundation import FIGURES, make_foundation
from tests.make import make_job
from tests.tower.make_tower import give_turbine, make_tower

pytestmark = pytest.mark.django_db

EMPTY = dict.fromkeys(
    ("leg_spacing_ft", "anchor_per_leg", "anchor_pattern_in", "dead_kip", "moment_kip_ft", "shear_kip")
)


def check(draft, key):
    return next(c for c in review(draft).checks if c.key == key)


def test_empty_loads_and_legs_are_taken_from_the_tower(job):
    give_turbine(job)
    tower = make_tower(job)
    draft = make_foundation(job, base="", load_kind="", **EMPTY)
    facts = review(draft).results
    assert facts.loads.moment_kip_ft == tower.figures.moment_kip_ft
    assert facts.loads.kind == tower.figures.reactions
    assert facts.loads.dead_kip is not None and "tower" in facts.loads.source
    assert facts.legs.bolts == tower.figures.anchor_bolts
    assert facts.legs.spacing_ft == pytest.approx(tower.figures.sections[0].bottom_in / 12)


def test_a_typed_moment_is_never_joined_with_the_kind_the_tower_states(job):
    give_turbine(job)
    make_tower(job)
    draft = make_foundation(job, load_kind="", shear_kip=None)
    loads = review(draft).results.loads
    assert (loads.moment_kip_ft, loads.shear_kip, loads.kind) == (520.0, None, "")
    assert check(draft, "bearing").verdict is Verdict.NOT_CHECKED


def test_a_release_is_bound_to_what_the_tower_gave(job):
    give_turbine(job)
    tower = make_tower(job)
    draft = make_foundation(job, base="", load_kind="", **EMPTY)
    before = draft.inputs()
    tower.change(moment_kip_ft=200.0)
    tower.save()
    job.refresh_from_db()
    assert FoundationDesign.of(job).inputs() != before


def test_a_tower_that_cannot_be_reviewed_gives_nothing(job):
    make_tower(job, sections=[])
    draft = make_foundation(job, base="", load_kind="", **EMPTY)
    facts = review(draft).results
    assert facts.legs.legs is None and facts.anchors == ()
    assert check(draft, "anchor depth").verdict is Verdict.NOT_CHECKED


def test_checks_come_worst_first(job):
    verdicts = [c.verdict for c in review(make_foundation(job, frost_ft=6.0)).checks]
    order = [Verdict.FAILS, Verdict.NOT_CHECKED, Verdict.PASSES, Verdict.DOES_NOT_APPLY]
    assert verdicts == sorted(verdicts, key=order.index)
    assert verdicts[0] is Verdict.FAILS


@pytest.mark.parametrize(
    ("base", "spacing", "reach"), [("4 legs", 8.0, 4.0), ("3 legs", 9.0, 5.196), ("tube", 3.0, 1.5)]
)
def test_base_plates_reach_past_the_legs(job, base, spacing, reach):
    """Triangle: corner at spacing / sqrt(3) from its middle."""
    found = reach_ft(
        review(make_foundation(job, base=base, leg_spacing_ft=spacing, base_plate_side_in=None)).results.legs
    )
    assert reach < found < reach + 1


def test_anchors_whose_pattern_is_not_known_are_not_checked_and_nowhere_drawn(job):
    """Neither here nor by a tower: the pattern of four bolts is no inch."""
    found = review(make_foundation(job, anchor_pattern_in=None))
    anchors = next(c for c in found.checks if c.key == "anchorage")
    assert anchors.verdict is Verdict.NOT_CHECKED and "pattern" in anchors.note
    assert bolt_places(found.results.legs) == [] and len(leg_places(found.results.legs)) == 4
    assert bolts_of(found.results.legs) is None


def test_legs_past_the_edge_are_refused_at_their_field(job):
    with pytest.raises(InputError) as caught:
        review(make_foundation(job, leg_spacing_ft=16.9))
    assert caught.value.field == "leg_spacing_ft"


def test_what_would_pass_is_said_with_what_stops_a_smaller_pad(job):
    draft = make_foundation(job, soil="CL", frost_ft=4.5, water_ft=None)
    words = "".join(
        text for text, _heavy in would_pass(smallest(draft, review(draft)), 4.5, draft.figures.outline)
    ).replace("\xa0", " ")
    assert "frost at 4 ft 6 in" in words
    assert "buoyancy still not checked" in words
    assert "The next smaller" in words and "fails" in words
    assert re.search(r"\d+ #\d+ each way below, \d+ #\d+ above", words)


def test_what_would_pass_without_soil_says_what_is_missing(job):
    draft = make_foundation(job, soil="")
    assert "must be given" in would_pass(smallest(draft, review(draft)), None, draft.figures.outline)[0][0]


def test_rose_says_which_winds_are_equal(job):
    draft = make_foundation(job)
    words = rose_words(review(draft).results, "NW")
    assert (
        "4 directions are equal; NW (heavy) is shown as governing because it is the prevailing wind" in words
    )
    overturned = make_foundation(make_job(), moment_kip_ft=9000.0)
    assert "nothing bears: overturns" in rose_words(review(overturned).results, "NW")


def test_the_pad_that_would_pass_passes(job):
    """What the page offers is taken at its word: typed in, no check of ground, concrete or steel fails."""
    draft = make_foundation(job, side_ft=24.0, thickness_ft=6.0)
    found = smallest(draft, review(draft)).found
    draft.change(side_ft=found.side_ft, thickness_ft=found.thickness_ft)
    draft.change(bars=found.count, bar_size=found.size)
    draft.change(upper_bars=found.upper_count, upper_bar_size=found.upper_size)
    assert not [c.title for c in review(draft).checks if c.verdict is Verdict.FAILS]


def test_the_upper_mat_has_its_own_bars(job):
    draft = make_foundation(job, upper_bar_size="#6", upper_bars=13)
    upper = [m for m in review(draft).results.marks if m.mat == "upper"]
    assert [(m.mark, m.size, m.count) for m in upper] == [("T1", "#6", 13), ("T2", "#6", 13)]
    assert "13 x 0.44" in check(draft, "minimum steel").steps[-1].numbers


def test_what_is_wrong_with_the_upper_mat_is_said_at_its_field(job):
    with pytest.raises(InputError) as refused:
        review(FoundationDesign(job=job, **FIGURES, upper_bars=1))
    assert refused.value.field == "upper_bars"


def test_bolts_whose_pattern_nobody_gave_are_not_checked(job):
    """Unknown never passes: how far apart the bolts of a leg stand is no inch. One alone has no pattern."""
    four = make_foundation(job, anchor_pattern_in=None)
    assert check(four, "anchorage").verdict is Verdict.NOT_CHECKED
    assert cut_file(four.figures, review(four).results) is None
    alone = make_foundation(make_job(), anchor_pattern_in=None, anchor_per_leg=1)
    assert "anchorage" not in {c.key for c in review(alone).checks}


def test_torsion_that_nobody_gave_is_asked_for(job):
    """In the sliding of the pad and in the shear of the bolts; given as none it is answered."""
    draft = make_foundation(job, torsion_kip_ft=None)
    sheared = ("anchor-steel-shear", "anchor-breakout-shear", "anchor-pryout", "anchor-interaction")
    for key in ("sliding", *sheared):
        assert check(draft, key).verdict is Verdict.NOT_CHECKED
    assert any("stands without torsion" in said for said in review(draft).results.anchor_said)
    draft.change(torsion_kip_ft=0.0)
    for key in ("sliding", "anchor-steel-shear", "anchor-pryout"):
        assert check(draft, key).verdict is Verdict.PASSES
    draft.change(torsion_kip_ft=None, shear_kip=2000.0)
    assert check(draft, "anchor-steel-shear").verdict is Verdict.FAILS  # without it already


def test_a_plate_that_bears_and_whose_side_is_not_given_is_not_judged(job):
    """No pattern plus so much is put in its place."""
    draft = make_foundation(job, anchor_seat="on grout", base_plate_side_in=None)
    assert check(draft, "two-way shear").verdict is Verdict.NOT_CHECKED
    legs = review(draft).results.legs
    assert legs.plate_proposed and legs.plate_side_in == 9.0 + 6.0
    draft.change(base_plate_side_in=18.0)
    given = check(draft, "concrete bearing")
    assert "18^2" in next(step for step in given.steps if step.symbol == "q").numbers
    assert not review(draft).results.legs.plate_proposed


def test_a_plate_no_wider_than_its_bolts_is_refused_at_its_field(job):
    with pytest.raises(InputError) as caught:
        review(make_foundation(job, base_plate_side_in=9.0))
    assert caught.value.field == "base_plate_side_in"


def test_seat_and_feet_of_the_bolts_reach_the_concrete(job):
    """30 in of bolt in 48 in of concrete, a half-inch foot, 3 in of cover, #8."""
    draft = make_foundation(job, anchor_seat="on leveling nuts", base_plate_side_in=None)
    depth = next(s for s in check(draft, "two-way shear").steps if s.symbol == "d")
    assert depth.value == pytest.approx(48 - 30 - 0.5 - 3 - 1)
    assert check(draft, "concrete bearing").verdict is Verdict.DOES_NOT_APPLY
    assert check(draft, "anchor-compression").verdict is Verdict.PASSES
