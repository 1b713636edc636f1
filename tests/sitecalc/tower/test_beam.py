"""Tower frequencies against exact roots, a general-purpose frame program and a published tower."""

import math

import numpy as np
import pytest

from sitecalc.tower.beam import Head, Piece, modes

FT, LB, PSI = 0.3048, 0.45359237, 6894.757293168


def uniform(length_ft=80.0, stiffness_lb_ft2=1.0e9, plf=125.0):
    return (
        Piece(
            bottom_ft=0.0, top_ft=length_ft, stiffness=lambda z: stiffness_lb_ft2, weight_plf=lambda z: plf
        ),
    )


def beta_squared(hz, length_ft=80.0, stiffness_lb_ft2=1.0e9, plf=125.0):
    mass = plf / 32.174
    return 2 * math.pi * hz * math.sqrt(mass * length_ft**4 / stiffness_lb_ft2)


def test_bare_cantilever_has_the_printed_roots():
    """Vishay Measurements Group, model 2310 manual, p. 97: 1.8751, 4.6941, 7.8548."""
    found = modes(uniform(), Head(weight_lb=0.0), count=3, elements=16, with_weight=False)
    roots = [math.sqrt(beta_squared(mode.hz)) for mode in found]
    assert roots == pytest.approx([1.8751, 4.6941, 7.8548], rel=2e-4)


def test_cantilever_with_a_tip_mass_of_its_own_weight_has_the_published_roots():
    """Mathematical Problems in Engineering 2017, article 1568019, Table 1 (mass ratio 1, no inertia)."""
    found = modes(uniform(), Head(weight_lb=125.0 * 80.0), count=3, elements=16, with_weight=False)
    published = [1.557298, 16.25009, 50.89584]
    assert [beta_squared(mode.hz) for mode in found] == pytest.approx(published, rel=1e-4)


@pytest.mark.parametrize("tip_kg", [0, 600, 1500])
def test_a_tube_with_a_head_agrees_with_a_general_frame_program(tip_kg):
    """PyNiteFEA, a frame program of its own; it has no softening by weight, so ours is left out."""
    from Pynite import FEModel3D

    outside, wall, height, modulus = 24 * 0.0254, 0.5 * 0.0254, 80 * FT, 200e9
    area = math.pi * wall * (outside - wall)
    second = math.pi / 64 * (outside**4 - (outside - 2 * wall) ** 4)
    frame = FEModel3D()
    frame.add_material("steel", modulus, modulus / 2.6, 0.3, 7850 * 9.80665)
    frame.add_section("tube", area, second, second, 2 * second)
    for n in range(9):
        frame.add_node(f"N{n}", 0, n * height / 8, 0)
        if n:
            frame.add_member(f"M{n}", f"N{n - 1}", f"N{n}", "steel", "tube")
            # in the plane only, so that two equal modes do not mix
            frame.def_support(f"N{n}", False, False, True, True, True, False)
    frame.def_support("N0", True, True, True, True, True, True)
    frame.add_member_self_weight("FX", 1.0, "M")
    if tip_kg:
        frame.add_node_load("N8", "FX", tip_kg * 9.80665, "M")
    frame.add_load_combo("mass", {"M": 1.0})
    frame.analyze_modal(num_modes=1, mass_combo_name="mass", mass_direction="X", gravity=9.80665)
    theirs = min(float(hz) for hz in np.ravel(frame.frequencies) if hz > 0.01)

    stiffness = modulus / PSI * (second / 0.0254**4) / 144
    plf = area * 7850 / LB * FT
    piece = (Piece(bottom_ft=0.0, top_ft=80.0, stiffness=lambda z: stiffness, weight_plf=lambda z: plf),)
    ours = modes(piece, Head(weight_lb=tip_kg / LB), with_weight=False)[0].hz
    assert ours == pytest.approx(theirs, rel=2e-3)


def test_a_column_at_its_own_euler_load_has_no_frequency_left():
    """Euler: a fixed-free column buckles at pi^2 EI / (4 L^2); just under it the frequency is near none.

    Massless column, mass on top (beam-column theory): k = P u / (tan u - u) / L, u = pi/2 sqrt(P / Pcr).
    """
    length, stiffness = 40.0, 5.0e7
    euler = math.pi**2 * stiffness / (4 * length**2)
    piece = (Piece(bottom_ft=0.0, top_ft=length, stiffness=lambda z: stiffness, weight_plf=lambda z: 1e-6),)
    plain = modes(piece, Head(weight_lb=euler / 4), with_weight=False)[0].hz
    quarter = modes(piece, Head(weight_lb=euler / 4))[0].hz
    near = modes(piece, Head(weight_lb=euler * 0.9999))[0].hz
    past = modes(piece, Head(weight_lb=euler * 1.01))[0].hz
    u = math.pi / 4
    softer = euler / 4 * u / (math.tan(u) - u) / length
    assert (quarter / plain) ** 2 == pytest.approx(softer / (3 * stiffness / length**3), rel=1e-4)
    assert near < 0.02 * plain
    assert past == 0.0


def test_a_soft_foundation_turns_the_tower_into_a_pendulum_on_its_spring():
    """A rigid post of mass M at height L on spring k: f = sqrt((k - M g L) / (M L^2)) / 2 pi (textbook)."""
    spring, weight, length = 2.0e6, 3000.0, 60.0
    piece = (Piece(bottom_ft=0.0, top_ft=length, stiffness=lambda z: 1e14, weight_plf=lambda z: 1e-6),)
    hz = modes(piece, Head(weight_lb=weight), spring_lb_ft=spring)[0].hz
    mass = weight / 32.174
    assert hz == pytest.approx(
        math.sqrt((spring - weight * length) / (mass * length**2)) / (2 * math.pi), rel=1e-3
    )


def test_few_elements_are_enough():
    """Convergence: the first frequency at two elements is within 0.1 % of that at forty (exact 3.51602)."""
    two = modes(uniform(), Head(weight_lb=0.0), elements=2, with_weight=False)[0].hz
    assert beta_squared(two) == pytest.approx(3.51602, rel=1e-3)
    forty = modes(uniform(), Head(weight_lb=0.0), elements=40, with_weight=False)[0].hz
    assert beta_squared(forty) == pytest.approx(3.51602, rel=2e-5)
