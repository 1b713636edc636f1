from __future__ import annotations

import math

import pytest

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.pour.calibration import CalibrationCase, calibrate, students_t, verified
from sitecalc.pour.figures import Pair

# EN 1992-1-1:2004 beta_cc for s = 0.25 as computed by structuralcodes 0.7.2, times 5,000 psi
EC2 = ((1, 0.3420), (3, 0.5982), (7, 0.7788), (14, 0.9016), (28, 1.0))
PAIRS = tuple(Pair(age_days=float(t), psi=5000 * b) for t, b in EC2)
SCATTERED = tuple(
    Pair(age_days=t, psi=s) for t, s in ((1.1, 1450), (2.9, 2500), (7.4, 3690), (14, 4300), (27, 5210))
)


def fit(pairs=PAIRS):
    made = calibrate(CalibrationCase(pairs)).calibration
    assert made is not None
    return made


def test_the_fit_and_its_error_agree_with_a_general_library():
    """scipy.stats.linregress on ln(te): slope, intercept; error from its r: s^2 = Syy (1 - r^2)/(n - 2)."""
    from scipy.stats import linregress

    x, y = [math.log(p.age_days) for p in SCATTERED], [p.psi for p in SCATTERED]
    known = linregress(x, y)
    made = fit(SCATTERED)
    assert made.b_psi == pytest.approx(known.slope)
    assert made.a_psi == pytest.approx(known.intercept)
    mean = sum(y) / len(y)
    syy = sum((v - mean) ** 2 for v in y)
    assert made.error_psi == pytest.approx((syy * (1 - known.rvalue**2) / 3) ** 0.5)


def test_a_european_mix_is_met_within_its_own_error():
    """The curve of EN 1992-1-1 eq. 3.2 lies inside the band at every age between the pairs."""
    made = fit()
    for age in (1.5, 2, 5, 10, 20, 28):
        beta = math.exp(0.25 * (1 - (28 / age) ** 0.5))
        at = made.predicted(age)
        assert at.low_psi <= 5000 * beta <= at.high_psi


def test_the_band_is_the_students_one():
    """t of 0.90 with 3 degrees of freedom is 1.638 (tables of Student's t); at the mean s (1 + 1/n)^0.5."""
    made = fit(SCATTERED)
    at = made.predicted(math.exp(made.mean_ln))
    assert at.high_psi - at.psi == pytest.approx(1.638 * made.error_psi * 1.2**0.5, rel=1e-3)


@pytest.mark.parametrize("below", [0.6, 0.9, 0.999])
def test_students_t_is_a_general_librarys(below: float) -> None:
    """scipy.stats.t.ppf, 1 to 60 degrees of freedom."""
    from scipy.stats import t

    free = range(1, 61)
    assert [students_t(n, below) for n in free] == pytest.approx([t.ppf(below, n) for n in free], rel=1e-11)


def test_outside_the_pairs_nothing_is_made_up():
    made = fit()
    assert made.predicted(0.9).psi is None
    assert made.predicted(90).psi == made.predicted(28).psi
    assert made.predicted(90).beyond


def test_the_age_for_a_strength_is_that_of_the_lower_edge():
    made = fit()
    age = made.age_at(3000)
    assert age is not None
    assert made.predicted(age).low_psi == pytest.approx(3000, rel=0.02)
    assert made.age_at(9000) is None


def test_too_few_ages_are_no_calibration():
    found = calibrate(CalibrationCase((*PAIRS[:3], PAIRS[0])))
    assert found.calibration is None
    assert found.checks[0].verdict is Verdict.NOT_CHECKED


def test_strength_that_falls_with_age_is_refused():
    with pytest.raises(InputError, match="do not rise"):
        fit(tuple(Pair(age_days=float(t), psi=5000 - 100 * t) for t in (1, 3, 7, 14)))


def test_a_cylinder_of_the_pad_within_ten_percent_verifies_it():
    """ASTM C1074: more than 10 % apart asks for a new calibration (from memory)."""
    made = fit()
    by_age = made.predicted(7.0).psi
    assert verified(made, 7.0, 0.91 * by_age).passes
    assert not verified(made, 7.0, 0.89 * by_age).passes
    assert verified(made, 0.5, 900).verdict is Verdict.NOT_CHECKED
