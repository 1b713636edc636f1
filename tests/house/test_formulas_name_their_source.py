"""A number that leaves its module says where it comes from, or that nobody knows: the reader checks us by it.

A formula is a public function of a part of sitecalc that takes a number, gives a number, a step or a check,
and is imported by another module; and whatever ``python -m sitecalc`` runs.
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from sitecalc.__main__ import calculations
from sitecalc.checks import Known

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("sitecalc", "installs", "crew")
TAKEN = re.compile(r"\b(float|int)\b")
GIVEN = re.compile(r"\b(float|int|Step|Check)\b")

PUBLISHERS = (
    r"AASHTO|ACI|AISC|API|ASCE|ASME|ASTM|AWEA|CFR|GL Noble|IBC|IEC|IEEE|IFI|MEASNET|MIL-HDBK|NEC|RCSC|TIA"
    r"|UFGS|USACE"
)
UNREAD = "|".join(f"(?i:{re.escape(known)})" for known in Known if known is not Known.READ)
BY_REASON = (
    r"[Aa]rithmetic|[Ss]tatics|[Gg]eometry|[Tt]rigonometry|[Tt]extbook|[Cc]ircuit theory|[Aa]ny\s+text"
    r"|own rule|operator(?:'s)?\s+manual|training\s+manual|zoning\s+ordinance"
)
AUTHOR_AND_YEAR = r"[A-Z][a-z]+[^.]{0,60}\b(19|20)\d\d\b"
SOURCE = re.compile(rf"\b({PUBLISHERS})\b|{UNREAD}|{BY_REASON}|{AUTHOR_AND_YEAR}")
HANDED_ON = re.compile(r":(?:func|meth):`([\w.]+)`")


def module(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


PARTS = sorted({path.parent for path in (ROOT / "sitecalc").glob("*/*.py")})


@cache
def functions(path: Path) -> dict[str, ast.FunctionDef]:
    return {n.name: n for n in ast.parse(path.read_text()).body if isinstance(n, ast.FunctionDef)}


@cache
def importers() -> dict[tuple[str, str], set[str]]:
    """(module, name) of sitecalc to the modules that import it."""
    found: dict[tuple[str, str], set[str]] = {}
    for room in ROOMS:
        for path in (ROOT / room).rglob("*.py"):
            text = path.read_text()
            if "from sitecalc." not in text:
                continue
            for node in ast.walk(ast.parse(text)):
                if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("sitecalc."):
                    for alias in node.names:
                        found.setdefault((node.module, alias.name), set()).add(module(path))
    return found


def is_formula(node: ast.FunctionDef) -> bool:
    every = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
    takes = any(a.annotation and TAKEN.search(ast.unparse(a.annotation)) for a in every)
    return takes and bool(node.returns and GIVEN.search(ast.unparse(node.returns)))


def formulas(part: Path) -> Iterator[tuple[str, str]]:
    for path in sorted(part.glob("*.py")):
        for name, node in functions(path).items():
            if not name.startswith("_") and is_formula(node) and importers().get((module(path), name)):
                yield module(path), name


def names_source(where: str, name: str, seen: frozenset[str] = frozenset()) -> bool:
    """Its own words do, or those of a function it hands the reader on to."""
    node = functions(ROOT / f"{where.replace('.', '/')}.py").get(name)
    words = " ".join((ast.get_docstring(node) or "").split()) if node else ""
    if SOURCE.search(words):
        return True
    for target in HANDED_ON.findall(words):
        there, _, called = target.rpartition(".")
        if target not in seen and names_source(there or where, called, seen | {target}):
            return True
    return False


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_a_formula_names_its_source_or_says_that_it_has_none(part: Path) -> None:
    """A part at a time: files are read when the test runs, not by each process that looks for tests."""
    silent = [f"{where}.{name}" for where, name in formulas(part) if not names_source(where, name)]
    assert silent == [], "neither source nor that there is none"


@pytest.mark.parametrize("name", sorted(calculations()))
def test_a_calculation_of_the_command_line_does_so_too(name: str) -> None:
    run = calculations()[name].run
    assert names_source(run.__module__, run.__name__), f"{run.__module__}.{run.__name__}"


def test_formulas_are_found() -> None:
    assert sum(len(list(formulas(part))) for part in PARTS) > 50


def test_what_says_nothing_of_a_source_is_found() -> None:
    assert not SOURCE.search("Length in in of the bar, for the crew.")
    assert SOURCE.search("ACI 318-19, 17.6.3.") and SOURCE.search(f"Ten percent ({Known.MEMORY}).")
