"""The first frequency of whole towers, and what the rotor may and may not do to them."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sitecalc import checks
from sitecalc.inputs import InputError
from sitecalc.tower.frequency import FrequencyCase, first_frequency
from sitecalc.tower.resonance import Rotor, band, clear_of
from sitecalc.tower.structure import Section, Tower, weights

IN_PER_M, FT_PER_M, LB_PER_KG = 39.3700787, 3.2808399, 2.20462262


def reference_tower():
    """NREL/TP-500-38060 Table 6-1: 87.6 m tube, 6 to 3.87 m, 27 to 19 mm x 1.3, 210 GPa, 8,500 kg/m3."""
    sections = []
    for n in range(10):
        a, b = n / 10, (n + 1) / 10
        share = np.linspace(a, b, 101)
        diameter, wall = 6 - 2.13 * share, 1.3 * (0.027 - 0.008 * share)
        kg = np.trapezoid(8500 * math.pi * wall * (diameter - wall), share) * 87.6
        sections.append(
            Section(
                length_ft=8.76 * FT_PER_M,
                bottom_in=diameter[0] * IN_PER_M,
                top_in=diameter[-1] * IN_PER_M,
                weight_lb=float(kg) * LB_PER_KG,
                wall_in=wall[0] * IN_PER_M,
                top_wall_in=wall[-1] * IN_PER_M,
            )
        )
    return Tower("tube", tuple(sections), 210e9 / 6.894757e6)


def reference_case():
    return FrequencyCase(
        tower=reference_tower(),
        head_weight_lb=350_000 * LB_PER_KG,
        rotor=Rotor(blades=3, speed_low_rpm=6.9, speed_high_rpm=12.1),
    )


def test_published_tower_has_the_published_weight_and_center():
    """NREL/TP-500-38060, section 6: 347,460 kg, center of mass 38.234 m above the foot."""
    found = weights(reference_tower())
    assert found.total_lb / LB_PER_KG == pytest.approx(347_460, rel=1e-3)
    assert found.center_ft / FT_PER_M == pytest.approx(38.234, rel=2.5e-3)


def test_published_tower_with_its_head_lies_in_the_published_band():
    """NREL/TP-500-38060 Table 9-1, first tower modes: 0.3240 / 0.3195 fore-aft, 0.3120 / 0.3164 side to side.

    The head here is rigid, its inertia (from the report's nacelle and rotor figures) about the tower's top
    24.4e6 kg m2, center 1.954 m above it; the report's rotor flexes, hence the band.
    """
    above = 1.954
    about_center = 24.40e6 - 350_000 * above**2
    case = replace(
        reference_case(),
        head_above_top_ft=above * FT_PER_M,
        head_inertia_lb_ft2=about_center * LB_PER_KG * FT_PER_M**2,
    )
    assert 0.312 <= first_frequency(case).first_hz <= 0.327


def test_published_tower_is_soft_stiff_as_its_report_says():
    """NREL/TP-500-38060 section 6: stiffened to lie between 1P (6.9 to 12.1 rpm) and 3P."""
    assert first_frequency(reference_case()).stiffness == "soft-stiff"


@pytest.mark.parametrize("legs", [3, 4])
def test_lattice_as_a_beam_is_within_five_percent_of_a_frame_of_all_its_members(legs):
    """PyNiteFEA, every leg, ring and cross of a 24 m tower as members; the beam has no give of the braces."""
    theirs, kg = _lattice_frame(legs)
    area = math.pi * 5.5 * (88.9 - 5.5) / 645.16
    # leg spacing center to center, 2.4 m at the foot and 0.6 m at the top
    tower = Tower(
        f"lattice, {legs} legs",
        (
            Section(
                length_ft=24 * FT_PER_M,
                bottom_in=2.4 * IN_PER_M,
                top_in=0.6 * IN_PER_M,
                weight_lb=kg * LB_PER_KG,
                leg_area_in2=area,
            ),
        ),
        200e9 / 6.894757e6,
    )
    ours = first_frequency(FrequencyCase(tower=tower, head_weight_lb=600 * LB_PER_KG, rotor=Rotor())).first_hz
    assert ours == pytest.approx(theirs, rel=0.05)


def _lattice_frame(legs):
    """First frequency and mass: 12 panels, pipe 88.9 x 5.5 legs, 42.4 x 3.2 braces, 600 kg on top."""
    from Pynite import FEModel3D

    frame = FEModel3D()
    frame.add_material("steel", 200e9, 77e9, 0.3, 7850 * 9.80665)
    mass = 0.0
    for name, outside, wall in (("leg", 0.0889, 0.0055), ("brace", 0.0424, 0.0032)):
        area = math.pi * wall * (outside - wall)
        second = math.pi / 64 * (outside**4 - (outside - 2 * wall) ** 4)
        frame.add_section(name, area, second, second, 2 * second)
    ring = [2 * math.pi * (n + 0.5) / legs for n in range(legs)]
    for level in range(13):
        side = 2.4 - 1.8 * level / 12
        radius = side / (2 * math.sin(math.pi / legs))
        for n, angle in enumerate(ring):
            frame.add_node(f"{level}/{n}", radius * math.cos(angle), 2.0 * level, radius * math.sin(angle))

    def member(a, b, kind):
        frame.add_member(f"{a} {b}", a, b, "steel", kind)
        p, q = frame.nodes[a], frame.nodes[b]
        section = frame.sections[kind]
        return section.A * 7850 * math.dist((p.X, p.Y, p.Z), (q.X, q.Y, q.Z))

    for n in range(legs):
        beside = (n + 1) % legs
        for level in range(12):
            mass += member(f"{level}/{n}", f"{level + 1}/{n}", "leg")
            mass += member(f"{level}/{n}", f"{level + 1}/{beside}", "brace")
            mass += member(f"{level}/{beside}", f"{level + 1}/{n}", "brace")
            mass += member(f"{level + 1}/{n}", f"{level + 1}/{beside}", "brace")
        frame.def_support(f"0/{n}", True, True, True, False, False, False)
        frame.add_node_load(f"12/{n}", "FX", 600 * 9.80665 / legs, "M")
    frame.add_member_self_weight("FX", 1.0, "M")
    frame.add_load_combo("mass", {"M": 1.0})
    frame.analyze_modal(num_modes=2, mass_combo_name="mass", mass_direction="X", gravity=9.80665)
    return min(float(hz) for hz in np.ravel(frame.frequencies) if hz > 0.01), mass


def small_tower(weight=1600.0):
    def section(bottom, top):
        return Section(length_ft=20.0, bottom_in=bottom, top_in=top, weight_lb=weight, leg_area_in2=2.2)

    return Tower("lattice, 4 legs", (section(84, 66), section(66, 48), section(48, 30), section(30, 24)))


def small_case(**rotor):
    return FrequencyCase(tower=small_tower(), head_weight_lb=2_000.0, rotor=Rotor(**rotor))


def check(case, key):
    return next(c for c in first_frequency(case).checks if c.key == key)


def test_speeds_not_given_are_not_checked():
    assert check(small_case(), "clear_of_blades").verdict is checks.Verdict.NOT_CHECKED
    assert check(small_case(speed_high_rpm=60.0), "clear_of_rotor").verdict is checks.Verdict.NOT_CHECKED


def test_crossing_on_run_up_is_no_fail_but_staying_there_is():
    hz = first_frequency(small_case()).first_hz
    meets = 60 * hz / 3
    above = small_case(speed_low_rpm=meets * 1.2, speed_high_rpm=meets * 2.2)
    assert check(above, "clear_of_blades").passes
    assert "run-up" in first_frequency(above).bands[1].sentence
    within = small_case(speed_low_rpm=meets * 0.8, speed_high_rpm=meets * 1.4)
    assert not check(within, "clear_of_blades").passes
    assert "inside the range" in first_frequency(within).bands[1].sentence


def test_a_window_the_controller_skips_is_no_operation():
    hz = first_frequency(small_case()).first_hz
    meets = 60 * hz / 3
    speeds = {"speed_low_rpm": meets * 0.5, "speed_high_rpm": meets * 1.6}
    wide = Rotor(skipped_low_rpm=meets * 0.88, skipped_high_rpm=meets * 1.12, **speeds)
    assert clear_of(wide, hz, 3).passes
    narrow = replace(wide, skipped_high_rpm=meets * 1.05)
    assert not clear_of(narrow, hz, 3).passes
    everything = Rotor(
        blades=30,
        speed_low_rpm=20,
        speed_high_rpm=40,
        overspeed_rpm=None,
        skipped_low_rpm=10,
        skipped_high_rpm=50,
    )
    assert clear_of(replace(everything, blades=3), hz, 3).verdict is checks.Verdict.NOT_CHECKED


def test_exactly_at_the_margin_passes():
    rotor = Rotor(blades=3, speed_low_rpm=0.0, speed_high_rpm=45.0)
    hz = 3 * 45.0 / 60 / 0.9
    assert clear_of(rotor, hz, 3).ratio == pytest.approx(1.0)
    assert clear_of(rotor, hz, 3).passes
    assert not clear_of(rotor, hz * 0.999, 3).passes


def test_band_of_speeds_around_the_tower():
    """n = 60 f / k with 10 % to both sides: 2.371 Hz gives 47.4 rpm for three blades, 42.7 to 52.2."""
    found = band(Rotor(), 2.371, 3)
    assert found.meets_rpm == pytest.approx(47.42, abs=0.01)
    assert (found.low_rpm, found.high_rpm) == (pytest.approx(42.7, abs=0.05), pytest.approx(52.2, abs=0.05))


def test_heavier_head_lower_frequency_softer_ground_lower_frequency():
    result = first_frequency(replace(small_case(), spring_kip_ft=50_000.0))
    found = dict(result.variants)
    assert found["head 10 % heavier"] < result.first_hz < found["head 10 % lighter"]
    assert found["foundation half as stiff"] < result.first_hz < found["foundation twice as stiff"]
    assert result.first_hz < result.fixed_foot_hz


def test_foundation_not_given_never_passes_and_its_least_stiffness_is_on_the_edge():
    fixed = first_frequency(small_case(speed_low_rpm=10.0, speed_high_rpm=15.0))
    give = next(c for c in fixed.checks if c.key == "foundation_give")
    assert give.verdict is checks.Verdict.NOT_CHECKED
    least = fixed.least_spring_kip_ft
    case = small_case(speed_low_rpm=10.0, speed_high_rpm=15.0)
    assert check(replace(case, spring_kip_ft=least * 1.05), "foundation_give").passes
    assert check(replace(case, spring_kip_ft=least * 1.05), "clear_of_blades").passes
    assert not check(replace(case, spring_kip_ft=least * 0.95), "foundation_give").passes


def test_a_tower_that_cannot_carry_its_weight_fails():
    case = replace(small_case(speed_low_rpm=10.0, speed_high_rpm=15.0), spring_kip_ft=10.0)
    assert first_frequency(case).first_hz == 0.0
    assert check(case, "clear_of_rotor").verdict is checks.Verdict.FAILS


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"head_weight_lb": math.nan}, "head_weight_lb"),
        ({"head_weight_lb": -5.0}, "head_weight_lb"),
        ({"tower": Tower("tube", ())}, "tower.sections"),
        (
            {"tower": Tower("tube", (Section(length_ft=20, bottom_in=24, top_in=24, weight_lb=900),))},
            "tower.sections[0].wall_in",
        ),
        (
            {
                "tower": Tower(
                    "tube",
                    (
                        Section(length_ft=20, bottom_in=24, top_in=24, wall_in=4),
                        Section(length_ft=20, bottom_in=5, top_in=5, wall_in=3),
                    ),
                )
            },
            "tower.sections[1].wall_in",
        ),
        (
            {
                "tower": Tower(
                    "lattice, 3 legs", (Section(length_ft=20, bottom_in=60, top_in=50, weight_lb=900),)
                )
            },
            "tower.sections[0].leg_area_in2",
        ),
        (
            {
                "tower": Tower(
                    "lattice, 3 legs", (Section(length_ft=9, bottom_in=60, top_in=50, leg_area_in2=2),)
                )
            },
            "tower.sections[0].weight_lb",
        ),
        (
            {
                "tower": Tower(
                    "lattice, 3 legs",
                    (Section(length_ft=20, bottom_in=50, top_in=60, weight_lb=900, leg_area_in2=2),),
                )
            },
            "tower.sections[0].top_in",
        ),
        ({"rotor": Rotor(blades=3, speed_low_rpm=60, speed_high_rpm=50)}, "rotor.speed_low_rpm"),
        (
            {"rotor": Rotor(blades=3, speed_low_rpm=40, speed_high_rpm=50, overspeed_rpm=45)},
            "rotor.overspeed_rpm",
        ),
        (
            {
                "rotor": Rotor(
                    blades=3, speed_low_rpm=40, speed_high_rpm=50, overspeed_rpm=None, skipped_low_rpm=42
                )
            },
            "rotor.skipped_high_rpm",
        ),
        (
            {
                "rotor": Rotor(
                    blades=3,
                    speed_low_rpm=40,
                    speed_high_rpm=50,
                    overspeed_rpm=None,
                    skipped_low_rpm=44,
                    skipped_high_rpm=42,
                )
            },
            "rotor.skipped_low_rpm",
        ),
    ],
)
def test_bad_figures_are_named_at_their_field(change, field):
    with pytest.raises(InputError) as caught:
        first_frequency(replace(small_case(), **change))
    assert caught.value.field == field
