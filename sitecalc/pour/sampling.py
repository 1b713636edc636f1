"""How many strength tests the pour asks for, and placing in layers that stay fresh on fresh."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula
from sitecalc.inputs import quantity, require_valid
from sitecalc.pour.figures import PourFigures

SOURCE = "ACI 318-19 26.12.2.1 (clause not verified)"
YARDS_A_TEST, AREA_A_TEST_FT2, LEAST_TESTS = 150.0, 5000.0, 5
LAYER_SOURCE = "ACI 309R, layers of at most 20 in"
MOST_LAYER_IN = 20.0

LAB_SETS = Rule("lab sets", "Lab cylinders", "sets", SOURCE, Known.READ)
LAYERS = Rule("layers", "Cold joint between loads", "min", LAYER_SOURCE, Known.MEMORY)

BY_VOLUME = Formula("n_V", "tests by volume", f"ceil(V/{YARDS_A_TEST:g})", "")
BY_AREA = Formula("n_A", "tests by surface", f"ceil(A/{AREA_A_TEST_FT2:g})", "")
TESTS = Formula("n", "strength tests", f"max(1,n_V,n_A,min({LEAST_TESTS},trucks))", "")

COUNT = Formula("n", "layers", f"ceil(h/{MOST_LAYER_IN:g})", "")
THICK = Formula("d", "thickness of a layer", "h/n", "in")
RATE = Formula("q", "placed in an hour", "60*V_truck/t_truck", "yd3/h")
MINUTES = Formula("t", "a layer takes", "60*V/(n*q)", "min")
# a volume summed from tickets is not counted one test more for its last bit
DIGITS = 6


@dataclass(frozen=True, kw_only=True)
class SamplingCase:
    """One mix on one day. ``made`` are the sets of lab cylinders on record, one strength test each."""

    yards: float = quantity("yd3", "concrete of the day", low=0.25, high=5000)
    trucks: int = quantity("", "trucks that poured", low=1, high=500)
    area_ft2: float | None = quantity("ft2", "surface of the pad", low=0, high=100000, default=None)
    made: int | None = quantity("", "sets of lab-cured cylinders made", low=0, high=500, default=None)


@dataclass(frozen=True)
class Sampling:
    tests: int
    words: str
    checks: tuple[Check, ...]


def sampling(case: SamplingCase) -> Sampling:
    """Number of strength tests asked for, and whether they were made.

    case
        concrete of the day, yd3, trucks, surface of the pad, ft2.

    Once a day, each 150 yd3 and each 5,000 ft2, at least five or one a truck where there are fewer. ACI
    318-19 26.12.2.1, read in a secondary copy.
    """
    require_valid(case)
    by_volume = BY_VOLUME.step(V=round(case.yards, DIGITS))
    # a surface that is not known asks for a test at least; whether for more stays open
    by_area = BY_AREA.step(A=round(case.area_ft2 or 0.0, DIGITS))
    tests = TESTS.step(n_V=by_volume.value, n_A=by_area.value, trucks=case.trucks)
    count = int(tests.value)
    every_truck = max(1, by_volume.value, by_area.value) < LEAST_TESTS and case.trucks < LEAST_TESTS
    words = (
        f"a set of cylinders from each of the {case.trucks} trucks"
        if every_truck and case.trucks > 1
        else f"{count} set{'s' if count > 1 else ''} of cylinders"
    )
    return Sampling(count, words, (_made(case, count, words, (by_volume, by_area, tests)),))


def _made(case: SamplingCase, tests: int, words: str, steps: tuple[Step, ...]) -> Check:
    if case.made is None:
        return LAB_SETS.open(f"{words} asked for")
    if case.area_ft2 is None and case.made >= tests:
        return LAB_SETS.open(f"{words} asked for or more: the surface of the pad is not known")
    waiver = "; under 50 yd3 the official may waive it" if case.yards < 50 and case.made < tests else ""
    return LAB_SETS.compare(
        demand=tests,
        capacity=case.made,
        note=f"{case.made} set{'s' if case.made != 1 else ''} made, {words} asked for{waiver}",
        steps=steps,
    )


@dataclass(frozen=True, kw_only=True)
class LayersCase:
    thickness_in: float = quantity("in", "thickness of the pad", low=4, high=240)
    yards: float = quantity("yd3", "net volume", low=0.25, high=5000)
    truck_yd3: float = same_as(PourFigures, "truck_yd3", required=True)
    spacing_minutes: float = same_as(PourFigures, "spacing_minutes", required=True)
    joint_minutes: float = same_as(PourFigures, "joint_minutes", required=True)


@dataclass(frozen=True, kw_only=True)
class Layers:
    count: int
    thickness_in: float
    rate_yd3_h: float
    minutes: float
    checks: tuple[Check, ...]


def layers(case: LayersCase) -> Layers:
    """Layers of at most 20 in, and whether one is covered by the next while it is fresh, min.

    case
        thickness of the pad, in, its volume and a truck's load, yd3, trucks apart and the longest wait, min.

    A layer takes V / (n q), q what the trucks bring in an hour. Loads of one size at one spacing. ACI 309R
    (from memory).
    """
    require_valid(case)
    count = COUNT.step(h=round(case.thickness_in, DIGITS))
    thick = THICK.step(h=case.thickness_in, n=count.value)
    rate = RATE.step(V_truck=case.truck_yd3, t_truck=case.spacing_minutes)
    minutes = MINUTES.step(V=case.yards, n=count.value, q=rate.value)
    return Layers(
        count=int(count.value),
        thickness_in=thick.value,
        rate_yd3_h=rate.value,
        minutes=minutes.value,
        checks=(_fresh(case, count, thick, rate, minutes),),
    )


def _fresh(case: LayersCase, count: Step, thick: Step, rate: Step, minutes: Step) -> Check:
    if count.value <= 1:
        return LAYERS.not_asked(f"one layer of {thick.value:.0f} in")
    return LAYERS.compare(
        demand=minutes.value,
        capacity=case.joint_minutes,
        note=f"{count.value:g} layers of {thick.value:.0f} in at {rate.value:.0f} yd3 an hour: "
        f"the next after {minutes.value:.0f} min, at most {case.joint_minutes:g}",
        steps=(count, thick, rate, minutes),
    )
