"""A lift's checks: what is unknown never passes, and figures of other designs stand behind the lift's own."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from installs.drafting import to_svg
from installs.foundation.models import FoundationDesign
from installs.lift.card import limits, raise_note
from installs.lift.checking import review_figures
from installs.lift.drawing import drawings
from installs.lift.models import ROWS
from installs.lift.review import review
from installs.tower.models import TowerDesign
from installs.turbine.models import TurbineDesign, TurbineModel
from sitecalc.checks import Verdict
from sitecalc.figures import declared, names
from sitecalc.inputs import InputError
from sitecalc.lift.figures import LiftFigures
from tests.lift.kit import Kit

SECTIONS = [
    {"length_ft": 40.0, "bottom_in": 80.0, "top_in": 50.0, "weight_lb": 3_000.0},
    {"length_ft": 40.0, "bottom_in": 50.0, "top_in": 20.0, "weight_lb": 1_500.0},
]


def by_key(lift) -> dict[str, object]:
    return {c.key: c for c in review(lift).checks}


def test_the_kit_holds(kit: Kit) -> None:
    for lift in (kit.lift, kit.turbine):
        assert [c.title for c in review(lift).checks if not c.passes] == []


@pytest.mark.parametrize(
    "name",
    [
        "crane",
        "chart",
        "boom_ft",
        "radius_ft",
        "foot_ft",
        "pick_ft",
        "rigging_ft",
        "weight_lb",
        "weight_known",
        "block_lb",
        "line_parts",
        "rigging_lb",
        "jib_lb",
        "center_ft",
        "length_ft",
        "corners",
        "sail_ft2",
        "near_ft",
        "far_ft",
        "near_sling",
        "far_sling",
        "shackle",
        "mat_length_ft",
        "mat_width_ft",
        "mat_thick_in",
        "soil_psf",
        "on_backfill",
        "excavation_off_ft",
        "excavation_deep_ft",
        "mat_bending_psi",
        "mat_shear_psi",
        "line_ft",
        "line_kv",
        "longest_ft",
        "tag_line_ft",
        "near_hitch",
        "far_hitch",
        "soil_class",
        "lift_director",
        "operator",
        "rigger",
        "signals",
        "foreman",
        "lift_on",
    ],
)
def test_whatever_is_not_given_leaves_a_check_open(kit: Kit, name: str) -> None:
    words = ("weight_known", "on_backfill", "near_hitch", "far_hitch", "soil_class")
    empty = {"corners": [], **dict.fromkeys(words, "")}
    if name in ROWS:
        setattr(kit.lift, name, None)
    else:
        kit.lift.change(**{name: empty.get(name)})
    open_ones = [c for c in review(kit.lift).checks if c.verdict is Verdict.NOT_CHECKED]
    assert open_ones


def test_weight_and_outline_come_from_the_tower_where_the_lift_gives_none(kit: Kit) -> None:
    TowerDesign.objects.create(job=kit.job, sections=SECTIONS)
    lift = kit.lift
    lift.change(weight_lb=None, length_ft=None, center_ft=None)
    lift.change(corners=[], weight_known="", pick_ft=78.0)
    found = review(lift)
    assert found.load is not None and found.load.item_lb == 4_500
    assert found.figures.known.length_ft == 80
    # moments about the foot: 3,000 lb at 20 ft and 1,500 lb at 60 ft
    assert found.figures.known.center_ft == pytest.approx((3_000 * 20 + 1_500 * 60) / 4_500)
    # a square tower turned worst: half its diagonal
    assert found.figures.corners[0].out_ft == pytest.approx(80 / 12 / 2**0.5)
    assert "weight-known" not in by_key(lift)


def test_a_typed_figure_wins_over_a_given_one(kit: Kit) -> None:
    TowerDesign.objects.create(job=kit.job, sections=SECTIONS)
    found = review(kit.lift)
    assert found.load is not None and found.load.item_lb == 6_480


def test_a_turbine_is_held_clear_of_the_tower_under_it(kit: Kit) -> None:
    """A wide tower under a narrow turbine: the boom would meet the tower, not the turbine."""
    clear = review(kit.turbine).geometry
    wide = [{"length_ft": 110.0, "bottom_in": 350.0, "top_in": 240.0, "weight_lb": 6_000.0}]
    TowerDesign.objects.create(job=kit.job, sections=wide)
    kit.turbine.job.refresh_from_db()
    met = review(kit.turbine).geometry
    assert clear is not None and met is not None
    assert met.closest.clear_ft < clear.closest.clear_ft
    assert met.closest.height_ft <= 111.1


def test_out_of_the_chart_fails_and_can_still_be_kept_as_a_draft(kit: Kit) -> None:
    kit.lift.change(radius_ft=62.0, beyond_ft=2.0)
    check = by_key(kit.lift)["percent-of-chart"]
    assert check.verdict is Verdict.FAILS and "Not permitted" in check.note  # type: ignore[attr-defined]


def test_a_stricter_firm_sets_its_own_limits(kit: Kit) -> None:
    """49 % of chart: standard by the usual limits, critical or not permitted by stricter ones."""
    kit.lift.change(critical_percent=45.0)
    assert by_key(kit.lift)["critical-lift"].verdict is Verdict.NOT_CHECKED  # type: ignore[attr-defined]
    kit.lift.change(most_percent=48.0)
    check = by_key(kit.lift)["percent-of-chart"]
    assert check.verdict is Verdict.FAILS and "not permitted" in check.note  # type: ignore[attr-defined]


def test_a_hook_in_the_middle_of_the_tower_fails(kit: Kit) -> None:
    """Hook 75 ft up a 110 ft tower; the legs go through the lattice. Upright and on the way."""
    kit.lift.change(pick_ft=65.0)
    found = by_key(kit.lift)
    assert found["hook-clear"].verdict is Verdict.FAILS and "inside" in found["hook-clear"].note  # type: ignore[attr-defined]
    assert found["legs-clear"].verdict is Verdict.FAILS  # type: ignore[attr-defined]


def test_slings_that_do_not_close_fail_and_the_rest_is_shown(kit: Kit) -> None:
    kit.lift.change(rigging_ft=6.0)
    found = review(kit.lift)
    assert by_key(kit.lift)["sling-geometry"].verdict is Verdict.FAILS  # type: ignore[attr-defined]
    assert found.geometry is not None and found.chart is not None


def test_a_boom_shorter_than_the_radius_is_named_at_its_field(kit: Kit) -> None:
    kit.lift.change(boom_ft=38.0)
    with pytest.raises(InputError) as error:
        review(kit.lift)
    assert error.value.field == "boom_ft"


def test_wind_moves_the_radius_that_the_chart_is_read_at(kit: Kit) -> None:
    found = review(kit.lift)
    assert found.wind is not None and found.chart is not None
    assert found.chart.found.asked_radius_ft == pytest.approx(35 + 2 + found.wind.drift_ft)


def test_a_travelling_hook_is_held_to_the_chart_at_every_angle(kit: Kit) -> None:
    kit.lift.change(foot="hinged")
    assert by_key(kit.lift)["percent-while-raising"].verdict is Verdict.NOT_CHECKED  # type: ignore[attr-defined]
    kit.lift.change(flat_radius_ft=55.0)
    assert by_key(kit.lift)["percent-while-raising"].passes  # type: ignore[attr-defined]
    kit.lift.change(flat_radius_ft=90.0)
    assert by_key(kit.lift)["percent-while-raising"].verdict is Verdict.FAILS  # type: ignore[attr-defined]


def test_nobody_directs_or_signals_from_the_cab(kit: Kit) -> None:
    kit.lift.signals = kit.lift.operator
    assert by_key(kit.lift)["people"].verdict is Verdict.FAILS  # type: ignore[attr-defined]


NUMBERS = {f.name: f for f in declared(LiftFigures) if f.low is not None and f.high is not None}


@given(data=st.data())
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_figures_within_their_ranges_break_a_review_or_a_drawing(kit: Kit, data: st.DataObject) -> None:
    """Whatever is typed within the fields' own ranges gives checks and drawings, or one clear InputError."""
    inputs = kit.lift.inputs()
    for field in map(NUMBERS.get, data.draw(st.lists(st.sampled_from([*NUMBERS]), max_size=8, unique=True))):
        number = st.floats(field.low, field.high)
        inputs[field.name] = data.draw(st.none() | number if field.optional else number)
    inputs["foot"] = data.draw(st.sampled_from(["walked in", "hinged"]))
    try:
        found = review_figures(inputs)
    except InputError as error:
        assert error.field in names(LiftFigures)
        return
    assert {c.verdict for c in found.checks} <= set(Verdict)
    for drawing in drawings(found).values():
        to_svg(drawing)
    limits(found, stop_word="stop")
    raise_note(found)


def test_the_head_comes_from_the_turbines_design(kit: Kit) -> None:
    """Weight, outline and wind area; set on the pad's top and the tower's height."""
    machine = TurbineModel.objects.create(
        name="Larkspur 12",
        rated_kw=12,
        rotor_diameter_ft=24,
        head_weight_lb=2_640,
        hub_above_flange_ft=2,
        hub_ahead_ft=-3,
        tail_ft=5,
        body_height_ft=3,
        wind_area_ft2=70,
    )
    TurbineDesign.objects.create(job=kit.job, model=machine)
    TowerDesign.objects.create(job=kit.job, sections=SECTIONS)
    FoundationDesign.objects.create(job=kit.job, top_above_grade_ft=0.5)
    lift = kit.turbine
    lift.change(weight_lb=None, length_ft=None, sail_ft2=None, foot_ft=None)
    lift.change(corners=[], weight_known="")
    found = review(lift)
    assert found.load is not None and found.load.item_lb == 2_640
    assert found.figures.known.foot_ft == 80.5
    assert found.figures.known.sail_ft2 == 70
    # a blade turned up, 12 ft over the hub, 3 ft off the yaw axis whichever way it looks
    assert (14, 3) in [(c.up_ft, c.out_ft) for c in found.figures.own_corners]
    assert (3.5, 5) in [(c.up_ft, c.out_ft) for c in found.figures.own_corners]
