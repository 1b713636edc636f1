"""Strength by maturity of a mix, calibrated on pairs of equivalent age and strength, with its error.

S = a + b ln(te), fitted by least squares (Plowman's logarithm; the fit itself is checked against a
general library). Valid for the calibrated mix and between its youngest and oldest pair: a younger pad
has no strength by it, an older one keeps the strength of the oldest pair. A forecast, never evidence.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.pour.figures import Pair, PourFigures

SOURCE = "ASTM C1074-19, strength-maturity relationship"
LEAST_AGES = 4  # of 1, 3, 7, 14, 28 days (Engius, Concrete maturity specification); four: common practice
SHARE_LOWER = 0.10  # of pads of this mix are weaker than the band's lower edge
VERIFIED_WITHIN = 0.10

CALIBRATION = Rule(
    "calibration", "Calibration", "%", "error within 10 % of the mean strength", Known.PRACTICE
)
RELATIONSHIP = CALIBRATION.stated(source=SOURCE, known=Known.SECONDARY)  # what pairs it must be made of
VERIFIED = Rule("maturity verified", "Maturity against cylinders", "%", SOURCE, Known.MEMORY)

STRENGTH = Formula("S", "strength by maturity", "a+b*ln(te)", "psi")
ERROR = Formula("s", "error of the fit", "sqrt(SS/(n-2))", "psi")
OF_MEAN = Formula("e", "error of the mean strength", "100*s/S_mean", "%")
WIDTH = Formula("w", "half of the band", "t*s*sqrt(1+1/n+(x-x_mean)**2/SS_x)", "psi")
APART = Formula("d", "broken against the calibration", "100*abs(S_broken-S)/S", "%")


@dataclass(frozen=True)
class CalibrationCase:
    pairs: tuple[Pair, ...] = same_as(PourFigures, "pairs", required=True)
    age_days: float | None = quantity("days", "equivalent age asked for", low=0, high=1000, default=None)


@dataclass(frozen=True, kw_only=True)
class Predicted:
    """``low_psi`` to ``high_psi`` holds eight of ten pads of the mix; None younger than the youngest pair."""

    age_days: float
    psi: float | None
    low_psi: float | None
    high_psi: float | None
    beyond: bool  # older than the oldest pair: held at it


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """S = a + b ln(te), te in days, with what its error and its band are worked out from."""

    a_psi: float
    b_psi: float
    error_psi: float  # standard error of the fit
    youngest_days: float
    oldest_days: float
    mean_ln: float
    sum_sq_ln: float
    t_value: float
    sum_sq_error: float
    count: int

    def predicted(self, age_days: float) -> Predicted:
        """Strength in psi at an equivalent age in days, with its band.

        S = a + b ln(te); the band is t s sqrt(1 + 1/n + (x - mean)^2 / SS), Student's t of one pad of this
        mix. None younger than the youngest pair, held at the oldest. A general text on regression.
        """
        if age_days < self.youngest_days - 1e-9:
            return Predicted(age_days=age_days, psi=None, low_psi=None, high_psi=None, beyond=False)
        at = min(age_days, self.oldest_days)
        psi = STRENGTH.value(a=self.a_psi, b=self.b_psi, te=at)
        half = WIDTH.value(
            t=self.t_value,
            s=self.error_psi,
            n=self.count,
            x=float(np.log(at)),
            x_mean=self.mean_ln,
            SS_x=self.sum_sq_ln,
        )
        return Predicted(
            age_days=age_days,
            psi=psi,
            low_psi=max(psi - half, 0.0),
            high_psi=psi + half,
            beyond=age_days > self.oldest_days + 1e-9,
        )

    def age_at(self, psi: float) -> float | None:
        """Equivalent age at which the band's lower edge reaches a strength; None beyond the pairs."""
        for age in np.geomspace(self.youngest_days, self.oldest_days, 400):
            low = self.predicted(float(age)).low_psi
            if low is not None and low >= psi:
                return float(age)
        return None

    @property
    def words(self) -> str:
        return (
            f"{self.a_psi:,.0f} + {self.b_psi:,.0f} ln(te) psi from {self.count} pairs of "
            f"{self.youngest_days:g} to {self.oldest_days:g} days, error {self.error_psi:,.0f} psi"
        )


@dataclass(frozen=True)
class Calibrated:
    calibration: Calibration | None
    predicted: Predicted | None
    checks: tuple[Check, ...]


def calibrate(case: CalibrationCase) -> Calibrated:
    """The fit (psi by equivalent age in days) and its error in % of the mean strength.

    Least squares on ln(te), at least four ages. InputError for pairs that do not rise with age. ASTM C1074
    (ages read in secondary copies; that four are enough is common practice, no source).
    """
    require_valid(case)
    ages = {round(p.age_days, 3) for p in case.pairs}
    if len(ages) < LEAST_AGES:
        why = f"pairs of {len(ages)} ages, at least {LEAST_AGES} are asked (1, 3, 7, 14, 28 days are usual)"
        return Calibrated(None, None, (RELATIONSHIP.open(why),))
    fit = _fit(case.pairs)
    predicted = fit.predicted(case.age_days) if case.age_days is not None else None
    return Calibrated(fit, predicted, (_error(fit, case.pairs),))


def _fit(pairs: tuple[Pair, ...]) -> Calibration:
    x = np.log([p.age_days for p in pairs])
    y = np.array([p.psi for p in pairs])
    mean = float(x.mean())
    sum_sq = float(((x - mean) ** 2).sum())
    b = float(((x - mean) * (y - y.mean())).sum()) / sum_sq
    if b <= 0:
        raise InputError("pairs", "do not rise with age: are the ages and strengths in the right columns?")
    a = float(y.mean()) - b * mean
    free = len(pairs) - 2
    squares = float(((y - a - b * x) ** 2).sum())
    return Calibration(
        a_psi=a,
        b_psi=b,
        error_psi=ERROR.value(SS=squares, n=len(pairs)),
        youngest_days=min(p.age_days for p in pairs),
        oldest_days=max(p.age_days for p in pairs),
        mean_ln=mean,
        sum_sq_ln=sum_sq,
        t_value=students_t(free, 1 - SHARE_LOWER),
        sum_sq_error=squares,
        count=len(pairs),
    )


def students_t(free: int, below: float) -> float:
    """The value under which the share ``below`` (over a half) of Student's t lies.

    free
        degrees of freedom, whole.

    Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3, 26.7.4 (finite sums; from memory, held
    against scipy.stats.t), turned around by halving. scipy would be 25 MB in each process of the web server.
    """

    def within(t: float) -> float:
        angle = math.atan(t / math.sqrt(free))
        sine, cosine = math.sin(angle), math.cos(angle)
        odd = free % 2
        term, total = (cosine, 0.0) if odd else (1.0, 0.0)
        for n in range(2 + odd, free + 1, 2):
            total += term
            term *= (n - 1) / n * cosine**2
        return 2 / math.pi * (angle + sine * total) if odd else sine * total

    low, high = 0.0, 1.0
    while within(high) < 2 * below - 1:
        high *= 2
    while (middle := (low + high) / 2) not in (low, high):
        low, high = (middle, high) if within(middle) < 2 * below - 1 else (low, middle)
    return high


def _error(fit: Calibration, pairs: tuple[Pair, ...]) -> Check:
    how, where = "least squares on ln(te)", f"{fit.count} pairs"
    error = ERROR.step(SS=fit.sum_sq_error, n=fit.count)
    share = OF_MEAN.step(s=error.value, S_mean=sum(p.psi for p in pairs) / len(pairs))
    return CALIBRATION.compare(
        demand=share.value,
        capacity=VERIFIED_WITHIN * 100,
        note=f"{fit.words}, {share.value:.0f} % of the mean",
        steps=(
            looked_up("a", "strength at one day by the fit", how, where, fit.a_psi, "psi"),
            looked_up("b", "slope of the fit", how, where, fit.b_psi, "psi"),
            error,
            share,
        ),
    )


def verified(fit: Calibration, age_days: float, psi: float) -> Check:
    """A cylinder of the pad against what the calibration says of its age: within 10 %, else a new one.

    age_days, psi
        equivalent age of the pad, days, and strength of the cylinder, psi.

    Not checked outside the pairs' ages. ASTM C1074 (from memory).
    """
    by_fit = fit.predicted(age_days)
    if by_fit.psi is None or by_fit.beyond:
        return VERIFIED.open(f"{psi:,.0f} psi at an age of {age_days:.1f} days, outside the pairs")
    off = APART.step(S_broken=psi, S=by_fit.psi)
    return VERIFIED.compare(
        demand=off.value,
        capacity=VERIFIED_WITHIN * 100,
        note=f"{psi:,.0f} psi broken, {by_fit.psi:,.0f} psi by the age of {age_days:.1f} days: "
        f"{off.value:.0f} % apart, {VERIFIED_WITHIN * 100:g} % allowed",
        steps=(STRENGTH.step(a=fit.a_psi, b=fit.b_psi, te=age_days), off),
    )
