"""Strength by maturity of a mix, calibrated on pairs of equivalent age and strength, with its error.

S = a + b ln(te), fitted by least squares (Plowman's logarithm; the fit itself is checked against a
general library). Valid for the calibrated mix and between its youngest and oldest pair: a younger pad
has no strength by it, an older one keeps the strength of the oldest pair. A forecast, never evidence.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.inputs import InputError, quantity, require_valid

SOURCE = "ASTM C1074-19, strength-maturity relationship"
LEAST_AGES = 4  # 1, 3, 7, 14, 28 days are usual
SHARE_LOWER = 0.10  # of pads of this mix are weaker than the band's lower edge
VERIFIED_WITHIN = 0.10


@dataclass(frozen=True)
class Pair:
    age_days: float = quantity("days", "equivalent age of the cylinders at the mix's Ts", low=0.1, high=400)
    psi: float = quantity("psi", "their mean strength", low=50, high=20000)


@dataclass(frozen=True)
class CalibrationCase:
    pairs: tuple[Pair, ...] = quantity("", "cylinder pairs of this mix")
    age_days: float | None = quantity("days", "equivalent age asked for", low=0, high=1000, default=None)


@dataclass(frozen=True)
class Predicted:
    """``low_psi`` to ``high_psi`` holds eight of ten pads of the mix; None younger than the youngest pair."""

    age_days: float
    psi: float | None
    low_psi: float | None
    high_psi: float | None
    beyond: bool  # older than the oldest pair: held at it


@dataclass(frozen=True)
class Calibration:
    a_psi: float
    b_psi: float
    error_psi: float  # standard error of the fit
    youngest_days: float
    oldest_days: float
    mean_ln: float
    sum_sq_ln: float
    t_value: float
    count: int

    def predicted(self, age_days: float) -> Predicted:
        if age_days < self.youngest_days - 1e-9:
            return Predicted(age_days, None, None, None, beyond=False)
        x = float(np.log(min(age_days, self.oldest_days)))
        psi = self.a_psi + self.b_psi * x
        width = self.error_psi * (1 + 1 / self.count + (x - self.mean_ln) ** 2 / self.sum_sq_ln) ** 0.5
        half = self.t_value * width
        return Predicted(age_days, psi, max(psi - half, 0.0), psi + half, age_days > self.oldest_days + 1e-9)

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
    """The fit and its error. InputError for pairs that do not rise with age."""
    require_valid(case)
    ages = {round(p.age_days, 3) for p in case.pairs}
    if len(ages) < LEAST_AGES:
        why = f"pairs of {len(ages)} ages, at least {LEAST_AGES} are asked (1, 3, 7, 14, 28 days are usual)"
        unknown = not_checked("calibration", "Calibration", why, source=SOURCE, known=Known.MEMORY)
        return Calibrated(None, None, (unknown,))
    fit = _fit(case.pairs)
    predicted = fit.predicted(case.age_days) if case.age_days is not None else None
    return Calibrated(fit, predicted, (_error(fit, case.pairs),))


def _fit(pairs: tuple[Pair, ...]) -> Calibration:
    # Student's t by its function alone: scipy.stats, which gives the same number, is 40 MB in each process
    from scipy.special import stdtrit

    x = np.log([p.age_days for p in pairs])
    y = np.array([p.psi for p in pairs])
    mean = float(x.mean())
    sum_sq = float(((x - mean) ** 2).sum())
    b = float(((x - mean) * (y - y.mean())).sum()) / sum_sq
    if b <= 0:
        raise InputError("pairs", "do not rise with age: are the ages and strengths in the right columns?")
    a = float(y.mean()) - b * mean
    free = len(pairs) - 2
    error = float((((y - a - b * x) ** 2).sum() / free) ** 0.5)
    return Calibration(
        a, b, error, min(p.age_days for p in pairs), max(p.age_days for p in pairs), mean, sum_sq,
        float(stdtrit(free, 1 - SHARE_LOWER)), len(pairs),
    )  # fmt: skip


def _error(fit: Calibration, pairs: tuple[Pair, ...]) -> Check:
    mean = sum(p.psi for p in pairs) / len(pairs)
    steps = (
        Step(
            "S", "strength", "a + b ln(te)", f"{fit.a_psi:,.0f} + {fit.b_psi:,.0f} ln(te)", fit.b_psi, "psi"
        ),
        Step(
            "s",
            "error of the fit",
            "(sum of squares / (n - 2))^0.5",
            f"n = {fit.count}",
            fit.error_psi,
            "psi",
        ),
    )
    return compare(
        "calibration", "Calibration", demand=fit.error_psi / mean * 100, capacity=VERIFIED_WITHIN * 100,
        unit="%", source="error within 10 % of the mean strength", known=Known.PRACTICE,
        note=f"{fit.words}, {fit.error_psi / mean * 100:.0f} % of the mean", steps=steps,
    )  # fmt: skip


def verified(fit: Calibration, age_days: float, psi: float) -> Check:
    """A cylinder of the pad against what the calibration says of its age: within 10 %, else a new one."""
    key, title = "maturity verified", "Maturity against cylinders"
    by_fit = fit.predicted(age_days)
    if by_fit.psi is None or by_fit.beyond:
        why = f"{psi:,.0f} psi at an age of {age_days:.1f} days, outside the pairs"
        return not_checked(key, title, why, source=SOURCE, known=Known.MEMORY, unit="%")
    off = abs(psi - by_fit.psi) / by_fit.psi * 100
    return compare(
        key, title, demand=off, capacity=VERIFIED_WITHIN * 100, unit="%", source=SOURCE, known=Known.MEMORY,
        note=f"{psi:,.0f} psi broken, {by_fit.psi:,.0f} psi by the age of {age_days:.1f} days: "
        f"{off:.0f} % apart, {VERIFIED_WITHIN * 100:g} % allowed",
    )  # fmt: skip
