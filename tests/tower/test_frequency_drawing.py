"""Frequency over rotor speed as it is drawn: read back by its own ticks, held to 60 f / k and to the checks.

That excitation k times a turn at n rpm is k n / 60 Hz is what "a turn" means; the 10 % is common practice, no
source (IEC 61400-2 gives no number).
"""

from __future__ import annotations

import pytest

from installs.tower.drawing import draw
from installs.tower.frequency_drawing import frequency_svg
from installs.tower.review import review
from tests.drafting.drawn_plot import Reading
from tests.tower.make_tower import give_turbine, make_tower

pytestmark = pytest.mark.django_db

CLOSE_RPM, CLOSE_HZ = 0.2, 0.02
SPEEDS = {"speed_low_rpm": 40.0, "speed_high_rpm": 80.0, "overspeed_rpm": 94.0}


def drawn(tower, name: str = "frequency") -> Reading:
    return Reading(draw(tower, review(tower))[name])


def test_the_level_is_the_towers_and_rays_meet_it_at_60_f_over_k(job) -> None:
    give_turbine(job, **SPEEDS)
    tower = make_tower(job)
    hz = review(tower).results.frequency.first_hz
    for name in ("frequency", "frequency_narrow"):
        chart = drawn(tower, name)
        ((_, level), (_, also)) = chart.lines("tower")[0]
        assert (level, also) == pytest.approx((hz, hz), abs=CLOSE_HZ)
        met = sorted(rpm for rpm, _ in chart.dots("crossing"))
        edge = chart.lines("tower")[0][1][0]
        expected = sorted(60 * hz / k for k in (1, 3) if 60 * hz / k <= edge)
        assert met == pytest.approx(expected, abs=CLOSE_RPM)
        for k in (1, 3):
            for rpm, at in (end for line in chart.lines(f"ray-{k}P") for end in line):
                assert at == pytest.approx(k * rpm / 60, abs=CLOSE_HZ)
            assert f"{k}P meets the tower at {60 * hz / k:.3g} rpm" in chart.told


@pytest.mark.parametrize(
    ("speeds", "figures"),
    [
        (SPEEDS, {}),
        ({**SPEEDS, "speed_high_rpm": 93.0}, {}),
        ({**SPEEDS, "speed_low_rpm": 20.0}, {}),
        (SPEEDS, {"spring_kip_ft_rad": 60_000.0}),
        (SPEEDS, {"margin_percent": 45.0}),
        ({**SPEEDS, "speed_low_rpm": 20.0}, {"skip_low_rpm": 22.0, "skip_high_rpm": 70.0}),
        ({**SPEEDS, "overspeed_rpm": None, "speed_low_rpm": 10.0, "speed_high_rpm": 300.0}, {}),
    ],
)
def test_a_heavy_ray_between_the_dashed_lines_is_a_check_that_fails(job, speeds, figures) -> None:
    give_turbine(job, **speeds)
    tower = make_tower(job, **figures)
    verdicts = {c.key: c for c in review(tower).checks}
    chart = drawn(tower)
    low, high = sorted(line[0][1] for line in chart.lines("margin"))
    top = max(hz for line in chart.lines("ray-3P") for _, hz in line)
    inside = {}
    for k, key in ((1, "clear_of_rotor"), (3, "clear_of_blades")):
        kept = [line for line in chart.lines(f"kept-{k}P") if line[0][0] < line[-1][0]]
        inside[k] = any(a < high - CLOSE_HZ and b > low + CLOSE_HZ for (_, a), (_, b) in kept)
        assert inside[k] == (not verdicts[key].passes), key
    rings = chart.rings()
    assert bool(rings) == any(inside.values())
    if "skip_low_rpm" in figures:
        left, right = sorted({rpm for rpm, _ in chart.lines("skipped")[0]})
        assert (left, right) == pytest.approx((22.0, 70.0), abs=CLOSE_RPM)
        ends = sorted(rpm for line in chart.lines("kept-1P") for rpm, _ in line)
        assert ends == pytest.approx([20.0, 22.0, 70.0, 80.0], abs=CLOSE_RPM)
    assert top > high


def test_the_tone_is_what_head_and_foundation_may_be(job) -> None:
    give_turbine(job, **SPEEDS)
    tower = make_tower(job, spring_kip_ft_rad=200_000.0)
    variants = [v.hz for v in review(tower).results.frequency.variants]
    levels = [hz for _, hz in drawn(tower).lines("variants")[0]]
    assert (min(levels), max(levels)) == pytest.approx((min(variants), max(variants)), abs=CLOSE_HZ)


def test_speeds_that_nobody_gave_draw_no_range(job) -> None:
    give_turbine(job, speed_low_rpm=None, speed_high_rpm=None, overspeed_rpm=None)
    tower = make_tower(job)
    chart = drawn(tower)
    assert "Speeds of operation not given." in chart.words and not chart.lines("kept-1P")
    assert len(chart.dots("crossing")) == 2


def test_without_a_turbine_there_is_nothing_to_draw(job) -> None:
    tower = make_tower(job)
    found = review(tower)
    assert "frequency" not in draw(tower, found)
    with pytest.raises(ValueError, match="no frequency"):
        frequency_svg(found.results, tower.figures)
