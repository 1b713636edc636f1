"""A line of arithmetic is written once and printed as an engineer writes it. Rules of the program."""

from __future__ import annotations

import math

import pytest

from sitecalc.formula import Formula, looked_up
from tests.house.rework import comes_out


@pytest.mark.parametrize(
    ("expression", "symbols"),
    [
        ("12*T/(K*D)/1000", "12 T / (K D) / 1,000"),
        ("0.75*0.45*Fu*Ab", "0.75 x 0.45 Fu Ab"),
        ("2*P/(3*L*(B/2-e))", "2 P / (3 L (B / 2 - e))"),
        ("a/b*c", "(a / b) c"),
        ("a*(b/c)", "a (b / c)"),
        ("a/(b/c)", "a / (b / c)"),
        ("a-(b-c)", "a - (b - c)"),
        ("(a+b)**2", "(a + b)^2"),
        ("a**(1/3)", "a^(1 / 3)"),
        ("(-a)**2", "(-a)^2"),
        ("-a**2", "-a^2"),
        ("hp+L*sin(th)", "hp + L sin(th)"),
        ("max(0,M/a-W/n)", "max(0, M / a - W / n)"),
        ("E/(P*8760)", "E / (P x 8,760)"),
    ],
)
def test_precedence_is_printed_as_it_is_worked(expression: str, symbols: str) -> None:
    assert Formula("x", "", expression, "").formula == symbols


def test_a_name_of_several_words_is_held_together_where_it_would_be_misread() -> None:
    """Beside a quotient or under a power: ft / phi Rn would be read as (ft / phi) Rn."""
    names = {"R": "phi Rn"}
    assert Formula("u", "", "(ft/R)**2", "", names).formula == "(ft / (phi Rn))^2"
    assert Formula("u", "", "n*R", "", names).formula == "n phi Rn"


@pytest.mark.parametrize(
    ("expression", "numbers", "value"),
    [
        ("a/b*c", {"a": 6.0, "b": 2.0, "c": 3.0}, 9.0),
        ("a*(b/c)", {"a": -6.0, "b": 2.0, "c": -3.0}, 4.0),
        ("a-(b-c)", {"a": -1.0, "b": -2.0, "c": -3.0}, -2.0),
        ("a**2-b", {"a": -3.0, "b": -1.0}, 10.0),
        ("-a**2", {"a": -3.0}, -9.0),
        ("sum(W)*2", {"W": (1.5, 2.0, -3.0)}, 1.0),
        ("L*sin(th)", {"L": 66.0, "th": 30.0}, 33.0),
        ("pi/4*D**2", {"D": 2.0}, math.pi),
    ],
)
def test_the_line_with_its_numbers_gives_its_value(
    expression: str, numbers: dict[str, object], value: float
) -> None:
    step = Formula("x", "", expression, "").step(**numbers)
    assert step.value == pytest.approx(value)
    assert comes_out(step.numbers, step.value), step.numbers


@pytest.mark.parametrize("gap", [1.0, 0.01, 0.0003, 0.00002])
def test_the_difference_of_two_near_numbers_is_printed_with_the_figures_it_needs(gap: float) -> None:
    step = Formula("d", "", "a-b", "ft").step(a=1234.5 + gap, b=1234.5)
    assert comes_out(step.numbers, step.value), step.numbers


def test_numbers_are_printed_short_where_they_are_short() -> None:
    step = Formula("F", "", "12*T/(K*D)/1000", "kip").step(T=255.0, K=0.2, D=0.75)
    assert step.numbers == "12 x 255 / (0.2 x 0.75) / 1,000"
    assert Formula("x", "", "a+b", "").step(a=20_400, b=1 / 3).numbers == "20,400 + 0.3333"


@pytest.mark.parametrize(
    "expression", ["a if b else c", "a.b", "f(a)", "a[0]", "__import__('os')", "a*'b'", "a and b"]
)
def test_nothing_but_arithmetic_is_a_formula(expression: str) -> None:
    with pytest.raises(ValueError, match="no arithmetic"):
        Formula("x", "", expression, "")


def test_a_step_says_that_it_was_looked_up() -> None:
    assert looked_up("Q", "gross capacity", "chart", "40 ft row", 9_000.0, "lb").looked_up
    assert not Formula("x", "", "a+b", "").step(a=1, b=2).looked_up
