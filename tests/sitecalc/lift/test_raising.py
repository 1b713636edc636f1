"""The raise: statics by moments of our own sum, closed forms of handbooks, a beam program."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.inputs import InputError
from sitecalc.lift.raising import (
    BendingCase,
    RaiseCase,
    Section,
    SectionsCase,
    bending_flat,
    center_of_gravity,
    keep_out_ft,
    keep_out_under_ft,
    raise_at,
    raise_loads,
)


def tower(**changes: float) -> RaiseCase:
    return RaiseCase(**{"weight_lb": 9_000, "center_ft": 42, "pick_ft": 70, "length_ft": 100, **changes})


def placed(x: float, y: float, angle: float) -> tuple[float, float]:
    """A point of the tower in plan of the page after turning about its foot."""
    turn = complex(x, y) * complex(math.cos(angle), math.sin(angle))
    return turn.real, turn.imag


@given(
    angle=st.floats(0, 80),
    center=st.floats(20, 50),
    center_up=st.floats(-1, 1),
    pick=st.floats(60, 99),
    pick_up=st.floats(-2, 3),
    tail=st.floats(0, 10),
)
def test_moments_about_the_foot_balance(
    angle: float, center: float, center_up: float, pick: float, pick_up: float, tail: float
) -> None:
    """Equilibrium: vertical forces and moments of hook, tail and weight at their turned places sum to
    nothing.
    """
    case = tower(center_ft=center, center_up_ft=center_up, pick_ft=pick, pick_up_ft=pick_up, tail_ft=tail)
    step = raise_at(case, angle)
    if step.foot_free:
        assert (step.hook_lb, step.tail_lb) == (9_000, 0)
        return
    turn = math.radians(angle)
    moment = (
        step.hook_lb * placed(pick, pick_up, turn)[0]
        + step.tail_lb * placed(tail, 0, turn)[0]
        - 9_000 * placed(center, center_up, turn)[0]
    )
    assert moment == pytest.approx(0, abs=1e-6 * 9_000 * 100)
    assert step.hook_lb + step.tail_lb == pytest.approx(9_000)


def test_load_share_does_not_fall_while_a_straight_tower_turns() -> None:
    """Pick, center and foot on one line: W a / p at every angle, and all of W the moment the foot is free."""
    result = raise_loads(tower())
    assert {round(s.hook_lb, 6) for s in result.steps[:-1]} == {5_400}
    assert (result.steps[-1].angle_deg, result.steps[-1].hook_lb) == (90, 9_000)


def test_a_pick_on_the_upper_side_takes_more_as_the_tower_turns() -> None:
    result = raise_loads(tower(pick_up_ft=2.5))
    loads = [s.hook_lb for s in result.steps]
    assert loads == sorted(loads) and loads[-1] == 9_000
    # it then hangs as far from plumb as the pick stands off the center of gravity
    assert result.lean_deg == pytest.approx(math.degrees(math.atan2(2.5, 28)))


def test_the_hook_never_has_more_than_the_tower_weighs() -> None:
    """Past the angle where the foot lifts, the hinged formula would go on growing."""
    case = tower(pick_up_ft=2.5)
    assert raise_at(case, 85).hook_lb == 9_000
    assert raise_at(case, 85).foot_free


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"pick_ft": 40}, "pick_ft"),
        ({"pick_ft": 101}, "pick_ft"),
        ({"tail_ft": 42}, "tail_ft"),
        ({"center_ft": 101}, "center_ft"),
        ({"weight_lb": float("nan")}, "weight_lb"),
    ],
)
def test_a_tower_that_would_turn_over_is_refused(changes: dict[str, float], field: str) -> None:
    with pytest.raises(InputError) as error:
        raise_loads(tower(**changes))
    assert error.value.field == field


def test_center_of_gravity_of_a_linear_taper() -> None:
    """Statics handbooks: x = L (w0 + 2 w1) / (3 (w0 + w1)), approached by a hundred slices."""
    slices = tuple(Section(length_ft=1, weight_lb=100 - 0.6 * (i + 0.5)) for i in range(100))
    found = center_of_gravity(SectionsCase(sections=slices))
    assert found.weight_lb == pytest.approx(7_000)
    assert found.center_ft == pytest.approx(100 * (100 + 2 * 40) / (3 * (100 + 40)), rel=1e-4)


def test_center_of_a_section_may_be_its_own() -> None:
    sections = (Section(length_ft=20, weight_lb=100, center_ft=5), Section(length_ft=20, weight_lb=100))
    assert center_of_gravity(SectionsCase(sections=sections)).center_ft == pytest.approx((5 + 30) / 2)
    with pytest.raises(InputError, match=r"sections\[0\].center_ft"):
        center_of_gravity(SectionsCase(sections=(Section(length_ft=20, weight_lb=100, center_ft=25),)))


@pytest.mark.parametrize(
    ("pick", "tail", "sagging", "hogging"),
    [
        # two-point pick of a pile at 0.207 L from each end: w L^2 / 46.63 both ways (pile suspension,
        # 0.207 L; a^2 / 2 in closed form)
        (1 - (math.sqrt(2) - 1) / 2, (math.sqrt(2) - 1) / 2, 0.0214466, 0.0214466),
        # one pick, other end on the ground, best place 1 - 1/sqrt 2 from the lifted end (pile handbooks,
        # from memory)
        (1 / math.sqrt(2), 0.0, 0.0428932, 0.0428932),
        # lifted by its end: w L^2 / 8
        (1.0, 0.0, 0.125, 0.0),
    ],
)
def test_bending_of_a_uniform_tower(pick: float, tail: float, sagging: float, hogging: float) -> None:
    case = BendingCase(
        sections=tuple(Section(length_ft=10, weight_lb=1_000) for _ in range(10)),
        pick_ft=100 * pick,
        tail_ft=100 * tail,
        dynamic_factor=1.0,
    )
    found = bending_flat(case)
    w_l2 = 100.0 * 100**2
    assert found.sagging_ft_lb == pytest.approx(sagging * w_l2, rel=1e-5, abs=1e-6)
    assert found.hogging_ft_lb == pytest.approx(hogging * w_l2, rel=1e-5, abs=1e-6)


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_bending_of_a_tapered_tower_against_a_frame_program() -> None:
    """PyNiteFEA: continuous beam on two supports with the sections' weights as distributed loads."""
    from Pynite import FEModel3D

    weights = (3_200, 2_400, 1_700, 1_300, 900)
    pick, length = 78.0, 20.0
    model = FEModel3D()
    ends = [0.0, pick, 100.0]
    for i, x in enumerate(ends):
        model.add_node(f"N{i}", x, 0, 0)
    model.add_material("steel", 4_176e6, 1_600e6, 0.3, 490)
    model.add_section("tower", 0.1, 0.1, 0.1, 0.2)
    for i in range(2):
        model.add_member(f"M{i}", f"N{i}", f"N{i + 1}", "steel", "tower")
    model.def_support("N0", True, True, True, True, False, False)
    model.def_support("N1", False, True, True, False, False, False)
    for i, weight in enumerate(weights):
        for m, (a, b) in enumerate(itertools.pairwise(ends)):
            start, end = max(a, i * length), min(b, (i + 1) * length)
            if end > start:
                w = -weight / length
                model.add_member_dist_load(f"M{m}", "FY", w, w, start - a, end - a)
    model.analyze()
    found = bending_flat(
        BendingCase(
            sections=tuple(Section(length_ft=length, weight_lb=w) for w in weights),
            pick_ft=pick,
            dynamic_factor=1.0,
        )
    )
    moments = [abs(m) for name in ("M0", "M1") for m in model.members[name].moment_array("Mz", 2001)[1]]
    assert max(found.sagging_ft_lb, found.hogging_ft_lb) == pytest.approx(max(moments), rel=1e-4)
    assert found.hook_lb == pytest.approx(model.nodes["N1"].RxnFY["Combo 1"], rel=1e-6)


def test_keep_out_distances() -> None:
    """Common practice, no source: the tower's length and a tenth; half the height of a hanging load, at
    least 30 ft.
    """
    assert keep_out_ft(110) == pytest.approx(121)
    assert keep_out_under_ft(40) == 30
    assert keep_out_under_ft(110) == 55
