"""A rule stands once, and a printed step comes out on a calculator."""

from __future__ import annotations

import ast
import json
import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tests.house.rework import NotArithmetic, comes_out, reworked

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("foundation", "tower", "lift", "site", "turbine", "pour", "ground_station")


@pytest.mark.parametrize(
    ("line", "value"),
    [
        ("12 x 255 / (0.2 x 0.75) / 1,000", 20.4),
        ("2 + 3 x 4^2", 50),
        ("12 / 2 / 3", 2),
        ("1 - (-3)^2", -8),
        ("-2^2", -4),
        ("66 x sin(30) + 1,250.5", 1283.5),
        ("sqrt(3^2 + max(4, 1,000 / 500)^2)", 5),
        ("8^(1 / 3)", 2),
    ],
)
def test_the_calculator_reads_a_line_as_people_do(line: str, value: float) -> None:
    """School arithmetic: powers before products, products before sums, from left to right."""
    assert reworked(line) == pytest.approx(value)


def test_the_calculator_finds_what_does_not_come_out() -> None:
    """12 x 255 / (0.2 x 0.75) is 20,400, and was printed as 20.4 kip."""
    assert not comes_out("12 x 255 / (0.2 x 0.75)", 20.4)
    assert comes_out("12 x 255 / (0.2 x 0.75)", 20_400)
    for line in ("V 110 mph, exposure C", "4 ksi x 2", "3 4", "2 x", "1,00 + 2"):
        with pytest.raises(NotArithmetic):
            reworked(line)


def sources() -> list[Path]:
    files = [
        path for path in (ROOT / "sitecalc").rglob("*.py") if path.name not in ("checks.py", "formula.py")
    ]
    return files + [path for room in ROOMS for path in (ROOT / "installs" / room).rglob("*.py")]


def called(node: ast.AST) -> str:
    return node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(ROOT)))
def test_rules_and_formulas_are_constants_of_their_module(path: Path) -> None:
    """Nothing judges by a rule, or prints a step, that is put together where it is used."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside = [
        called(node)
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
    ]
    assert not {"Rule", "CodeRule", "Formula", "Step", "Check"} & set(inside)


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(ROOT)))
def test_a_rule_that_hangs_on_something_is_stated_in_one_place(path: Path) -> None:
    """One function of the edition, the ordinance, the maker."""
    stated = Counter(
        ast.unparse(node.func.value)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "stated"
    )
    assert [name for name, count in stated.items() if count > 1] == []


def test_a_key_is_declared_once_in_its_part() -> None:
    """Acceptances cite it. A rule stated otherwise keeps its key and says so."""
    twice = []
    for part in {path.parent for path in sources()}:
        keys = Counter(
            node.args[0].value
            for path in part.glob("*.py")
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if called(node) in ("Rule", "CodeRule")
            and isinstance(node, ast.Call)
            and isinstance(node.args[0], ast.Constant)
        )
        twice += [f"{part.name}: {key}" for key, count in keys.items() if count > 1]
    assert not twice


@pytest.fixture(scope="module")
def releases(prepared_demo: Any) -> list[tuple[str, list[dict[str, Any]]]]:
    """(part, frozen checks) of every release of the demo."""
    rows = prepared_demo.database.execute("SELECT part, checks FROM installs_designrevision")
    return [(part, json.loads(checks)) for part, checks in rows]


def test_every_step_of_the_demos_releases_comes_out(releases: list[Any]) -> None:
    """As an appendix prints them: the numbers of a line give its value to 0.5 %."""
    wrong, worked = set(), Counter[str]()
    for part, checks in releases:
        for step in (step for check in checks for step in check["steps"]):
            if step["looked_up"]:
                continue
            worked[part] += 1
            if not comes_out(step["numbers"], step["value"]):
                wrong.add(f"{part}: {step['symbol']} = {step['numbers']} = {step['value']} {step['unit']}")
    assert not wrong
    assert set(ROOMS) <= {part.split()[-1] for part in worked} | set(worked)


def test_no_step_prints_what_is_only_the_machines_rounding(releases: list[Any]) -> None:
    """A pad's eccentricity of 0.00000000000000007 in is nothing, and reads like something."""
    steps = [step for _, checks in releases for check in checks for step in check["steps"]]
    assert steps and not [step["numbers"] for step in steps if re.search(r"\b0\.0{9}", step["numbers"])]


def test_a_key_of_the_demos_releases_has_one_title(releases: list[Any]) -> None:
    titles: dict[tuple[str, str], set[str]] = {}
    for part, checks in releases:
        for check in checks:
            titles.setdefault((part, check["key"]), set()).add(check["title"])
    assert {key: found for key, found in titles.items() if len(found) > 1} == {}
