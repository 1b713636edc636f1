"""What every worked case here prints: steps that come out on a calculator, checks by declared rules."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.declared import contradicting, undeclared, watching
from tests.house.rework import comes_out

# of one formula in one test, beginning with the first: a search tries thousands of designs by the same lines
OF_A_KIND = 12


@pytest.fixture(autouse=True)
def every_step_comes_out_and_every_rule_is_declared(request: pytest.FixtureRequest) -> Iterator[None]:
    """The printed numbers of each step give its printed value to 0.5 %; each check is by a declared rule."""
    part = Path(str(request.path)).parent.name
    if part == "sitecalc":  # the tests of the mechanism itself
        yield
        return
    with watching() as seen:
        yield
    counted: dict[tuple[str, str], int] = {}
    wrong = []
    for step in seen.steps:
        kind = (step.symbol, step.meaning)
        counted[kind] = counted.get(kind, 0) + 1
        if not step.looked_up and counted[kind] <= OF_A_KIND and not comes_out(step.numbers, step.value):
            wrong.append(f"{step.symbol} = {step.formula} = {step.numbers} = {step.value} {step.unit}")
    assert not wrong, "\n".join(wrong)
    assert not undeclared(seen)
    assert not contradicting(seen)
