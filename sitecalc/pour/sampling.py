"""How many strength tests the pour asks for, and placing in layers that stay fresh on fresh."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare, not_checked
from sitecalc.inputs import quantity, require_valid

SOURCE = "ACI 318-19 26.12.2.1, read in a secondary copy"
YARDS_A_TEST, AREA_A_TEST_FT2, LEAST_TESTS = 150.0, 5000.0, 5
LAYER_SOURCE = "ACI 309R, layers of at most 20 in"
MOST_LAYER_IN = 20.0


@dataclass(frozen=True)
class SamplingCase:
    """One mix on one day. ``made`` are the sets of lab cylinders on record, one strength test each."""

    yards: float = quantity("yd3", "concrete of the day", low=0.25, high=5000)
    trucks: int = quantity("", "trucks that poured", low=1, high=500)
    area_ft2: float = quantity("ft2", "surface of the pad", low=0, high=100000, default=0.0)
    made: int | None = quantity("", "sets of lab-cured cylinders made", low=0, high=500, default=None)


@dataclass(frozen=True)
class Sampling:
    tests: int
    words: str
    checks: tuple[Check, ...]


def sampling(case: SamplingCase) -> Sampling:
    """Tests asked for: by day, 150 yd3 and 5,000 ft2, at least five or one a truck where there are fewer."""
    require_valid(case)
    by_volume = math.ceil(case.yards / YARDS_A_TEST - 1e-9)
    by_area = math.ceil(case.area_ft2 / AREA_A_TEST_FT2 - 1e-9)
    tests = max(1, by_volume, by_area)
    every_truck = tests < LEAST_TESTS and case.trucks < LEAST_TESTS
    tests = max(tests, min(LEAST_TESTS, case.trucks))
    words = (
        f"a set of cylinders from each of the {case.trucks} trucks"
        if every_truck and case.trucks > 1
        else f"{tests} set{'s' if tests > 1 else ''} of cylinders"
    )
    steps = (
        Step(
            "n", "tests", "max(1, V/150, A/5000), at least 5 or one a truck",
            f"max(1, {by_volume}, {by_area}), {case.trucks} trucks", tests, "",
        ),
    )  # fmt: skip
    return Sampling(tests, words, (_made(case, tests, words, steps),))


def _made(case: SamplingCase, tests: int, words: str, steps: tuple[Step, ...]) -> Check:
    title = "Lab cylinders"
    if case.made is None:
        return not_checked("lab sets", title, f"{words} asked for", source=SOURCE, known=Known.READ)
    waiver = "; under 50 yd3 the official may waive it" if case.yards < 50 and case.made < tests else ""
    return compare(
        "lab sets", title, demand=tests, capacity=case.made, unit="sets", source=SOURCE, known=Known.READ,
        note=f"{case.made} set{'s' if case.made != 1 else ''} made, {words} asked for{waiver}", steps=steps,
    )  # fmt: skip


@dataclass(frozen=True)
class LayersCase:
    thickness_in: float = quantity("in", "thickness of the pad", low=4, high=240)
    yards: float = quantity("yd3", "net volume", low=0.25, high=5000)
    truck_yd3: float = quantity("yd3", "a truck carries", low=1, high=12)
    spacing_minutes: float = quantity("min", "trucks come apart", low=5, high=240)
    joint_minutes: float = quantity("min", "a surface may wait for the next layer", low=15, high=240)


@dataclass(frozen=True)
class Layers:
    count: int
    thickness_in: float
    rate_yd3_h: float
    minutes: float
    checks: tuple[Check, ...]


def layers(case: LayersCase) -> Layers:
    """Layers of at most 20 in, and whether one is covered by the next while it is fresh."""
    require_valid(case)
    count = math.ceil(case.thickness_in / MOST_LAYER_IN - 1e-9)
    rate = case.truck_yd3 / case.spacing_minutes * 60
    minutes = case.yards / count / rate * 60
    thick = case.thickness_in / count
    note = (
        f"{count} layers of {thick:.0f} in at {rate:.0f} yd3 an hour: the next after {minutes:.0f} min, "
        f"at most {case.joint_minutes:g}"
        if count > 1
        else f"one layer of {thick:.0f} in"
    )
    numbers = f"{case.yards:.1f} / {count} / {rate:.1f}"
    check = compare(
        "layers", "Fresh on fresh", demand=minutes if count > 1 else 0, capacity=case.joint_minutes,
        unit="min", source=LAYER_SOURCE, known=Known.MEMORY, note=note,
        steps=(Step("t", "a layer takes", "V / n / rate", numbers, minutes, "min"),),
    )  # fmt: skip
    return Layers(count, thick, rate, minutes, (check,))
