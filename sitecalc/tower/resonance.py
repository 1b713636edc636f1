"""What the rotor excites, once (1P) and B times (BP) a turn, against the tower's first frequency.

A variable-speed rotor sweeps through the tower's frequency on every run-up: that alone is no fail.
What must stay clear of it is the range in which the rotor keeps turning.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity
from sitecalc.tower.figures import TowerFigures

MARGIN_RULE = "10 % between tower frequency and excitation, a design habit; IEC 61400-2 gives no number"

CLEAR_OF_ROTOR = Rule("clear_of_rotor", "Tower frequency against 1P", "Hz", MARGIN_RULE, Known.PRACTICE)
CLEAR_OF_BLADES = Rule(
    "clear_of_blades", "Tower frequency against the blades", "Hz", MARGIN_RULE, Known.PRACTICE
)

MEETS = Formula("n", "speed at which it meets the tower", "60*f1/k", "rpm")
EXCITED = Formula("f", "excitation by the rotor", "k*n/60", "Hz")
ABOVE = Formula("f1 low", "tower's frequency less the margin", "f1*(1-m)", "Hz")
BELOW = Formula("f1 high", "tower's frequency and the margin", "f1*(1+m)", "Hz")


@dataclass(frozen=True, kw_only=True)
class Rotor:
    """Speeds of the rotor as its maker states them; unknown ones leave the checks unchecked."""

    blades: int = quantity("", "number of blades", low=1, high=6, default=3)
    speed_low_rpm: float | None = quantity(
        "rpm", "lowest speed of continuous operation", low=0, high=2_000, default=None
    )
    speed_high_rpm: float | None = quantity(
        "rpm", "highest speed of continuous operation", low=0.1, high=2_000, default=None
    )
    overspeed_rpm: float | None = quantity(
        "rpm", "speed at which the rotor is shut down", low=0.1, high=3_000, default=None
    )
    skipped_low_rpm: float | None = same_as(TowerFigures, "skip_low_rpm")
    skipped_high_rpm: float | None = same_as(TowerFigures, "skip_high_rpm")
    margin: float = quantity(
        "", "share kept free on both sides", low=0, high=0.5, default=0.10, shown_at="margin_percent"
    )

    @property
    def multiples(self) -> tuple[int, ...]:
        """How many times a turn the tower is struck: once, and once a blade."""
        return tuple(sorted({1, self.blades}))


@dataclass(frozen=True, kw_only=True)
class Band:
    """Rotor speeds at which excitation ``per_turn`` times a turn meets the tower, with the margin."""

    per_turn: int
    low_rpm: float
    meets_rpm: float
    high_rpm: float
    sentence: str


def require_rotor(rotor: Rotor) -> None:
    """InputError for speeds that contradict each other."""
    low, high = rotor.speed_low_rpm, rotor.speed_high_rpm
    if low is not None and high is not None and low > high:
        raise InputError("rotor.speed_low_rpm", "is above the highest speed.")
    if rotor.overspeed_rpm is not None and high is not None and rotor.overspeed_rpm < high:
        raise InputError("rotor.overspeed_rpm", "is below the highest speed of operation.")
    if (rotor.skipped_low_rpm is None) != (rotor.skipped_high_rpm is None):
        raise InputError("rotor.skipped_high_rpm", "and its lower end go together; give both or neither.")
    if rotor.skipped_low_rpm is None or rotor.skipped_high_rpm is None:
        return
    if rotor.skipped_low_rpm >= rotor.skipped_high_rpm:
        raise InputError("rotor.skipped_low_rpm", "is not below the upper end of the window.")


def band(rotor: Rotor, hz: float, k: int) -> Band:
    """Speeds in rpm at which ``k`` times a turn lies within the margin of the tower's ``hz``.

    n = 60 f1 / k, less and more the margin. A design habit: IEC 61400-2 gives no number.
    """
    meets = MEETS.value(f1=hz, k=k)
    low, high = meets * (1 - rotor.margin), meets * (1 + rotor.margin)
    return Band(
        per_turn=k, low_rpm=low, meets_rpm=meets, high_rpm=high, sentence=_sentence(rotor, k, low, high)
    )


def _sentence(rotor: Rotor, k: int, low: float, high: float) -> str:
    between = f"between {low:.3g} and {high:.3g} rpm"
    ranges = kept_turning(rotor)
    if ranges is None or rotor.speed_low_rpm is None or rotor.speed_high_rpm is None:
        return f"{k}P meets the tower {between}; the rotor's speeds are not given."
    if any(a < high and b > low for a, b in ranges):
        return f"{k}P meets the tower {between}, inside the range of operation."
    if high <= rotor.speed_low_rpm:
        return f"{k}P is crossed on run-up, below operation: do not dwell {between}."
    if low < rotor.speed_high_rpm:
        return f"{k}P meets the tower in the window the controller skips, {between}."
    if rotor.overspeed_rpm is not None and low < rotor.overspeed_rpm:
        return f"{k}P is reached only between operation and the overspeed shutdown, {between}."
    return f"{k}P stays below the tower's frequency at every speed of operation."


def kept_turning(rotor: Rotor) -> list[tuple[float, float]] | None:
    """Speeds in which the rotor keeps turning: the operating range less the window that is skipped."""
    low, high = rotor.speed_low_rpm, rotor.speed_high_rpm
    if low is None or high is None:
        return None
    if rotor.skipped_low_rpm is None or rotor.skipped_high_rpm is None:
        return [(low, high)]
    both = ((low, min(high, rotor.skipped_low_rpm)), (max(low, rotor.skipped_high_rpm), high))
    return [(a, b) for a, b in both if a <= b]


def against(k: int) -> Rule:
    """The rule for excitation ``k`` times a turn: the rotor's own, or that of its 2, 3 ... blades."""
    return CLEAR_OF_ROTOR if k == 1 else CLEAR_OF_BLADES.stated(title=f"Tower frequency against {k}P")


def clear_of(rotor: Rotor, hz: float, k: int, steps: tuple[Step, ...] = ()) -> Check:
    """The tower at ``hz`` (Hz) is clear of excitation ``k`` times a turn at every speed of operation.

    k n / 60 at most f1 (1 - margin), or at least f1 (1 + margin), for n from the lowest to the highest rpm of
    each range in which the rotor stays; run-up through the frequency is no fail. Common practice,
    no source: IEC 61400-2 gives no number.
    """
    ranges = kept_turning(rotor)
    if not ranges:
        why = "speeds of operation are not given" if ranges is None else "skipped window covers them all"
        return against(k).open(f"The rotor's {why}.")
    if hz <= 0:
        note = "The tower does not carry its own weight: it has no frequency."
        return against(k).compare(demand=1, capacity=0, note=note)
    checks = [_clear(rotor.margin, hz, k, low, high, steps) for low, high in ranges]
    return max(checks, key=lambda check: check.ratio or 0.0)


def _clear(margin: float, hz: float, k: int, low: float, high: float, steps: tuple[Step, ...]) -> Check:
    """Tower above the excitation of every speed, or below it: the better of the two is the verdict."""
    speeds = f"{readable(low)} to {readable(high)} rpm"

    def check(rpm: float, word: str, excited: Step, limit: Step, demand: Step, capacity: Step) -> Check:
        return against(k).compare(
            demand=demand.value,
            capacity=capacity.value,
            case=f"{k}P at {readable(rpm)} rpm",
            note=f"Tower {hz:.3g} Hz; {k}P {word} {excited.value:.3g} Hz at {speeds}, "
            f"limit {limit.value:.3g} Hz.",
            steps=(*steps, excited, limit),
        )

    top, foot = (EXCITED.step_of(f"{k}P of the rotor", f"f{k}P", k=k, n=rpm) for rpm in (high, low))
    less, more = ABOVE.step(f1=hz, m=margin), BELOW.step(f1=hz, m=margin)
    above = check(high, "up to", top, less, demand=top, capacity=less)
    below = check(low, "from", foot, more, demand=more, capacity=foot)
    return min(above, below, key=lambda c: c.ratio if c.ratio is not None else math.inf)


def stiffness(rotor: Rotor, hz: float) -> str:
    """The trade's name for where the tower lies between 1P and BP of the range of operation."""
    low, high = rotor.speed_low_rpm, rotor.speed_high_rpm
    if low is None or high is None:
        return "unknown"
    if hz > rotor.blades * high / 60:
        return "stiff-stiff"
    if high / 60 < hz < rotor.blades * low / 60:
        return "soft-stiff"
    if hz < low / 60:
        return "soft-soft"
    return "within the range of operation"
