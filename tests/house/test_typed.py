"""What types leave open: a name keeps its meaning, a number its name, an ignored error has a reason."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.house.arrows import ROOT, module_name, sources

NUMBERS = {"int", "float"}
MOST_BY_PLACE = 2
IGNORED = re.compile(r"#\s*type:\s*ignore(\[[\w, -]+\])?(.*)")


def own_statements(function: ast.FunctionDef) -> Iterator[ast.AST]:
    """What runs in the function itself: what is nested in it has names of its own."""
    waiting: list[ast.AST] = list(function.body)
    while waiting:
        node = waiting.pop()
        yield node
        if not isinstance(node, ast.FunctionDef | ast.Lambda | ast.ClassDef):
            inside = (ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
            waiting += [child for child in ast.iter_child_nodes(node) if not isinstance(child, inside)]


LOCKED = ("job = locked(job)", "job = locked(job, archived_too=True)")


def rebound(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """(line, name) of each parameter that stands for something else later on.

    ``job = locked(job)`` is the same row, also of an archived job, read again under its lock: every service
    begins with it.
    """
    for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
        given = function.args
        named = [*given.posonlyargs, *given.args, *given.kwonlyargs, given.vararg, given.kwarg]
        names = {argument.arg for argument in named if argument is not None}
        for node in own_statements(function):
            if isinstance(node, ast.Assign) and ast.unparse(node) in LOCKED:
                names.discard("job")
        for node in own_statements(function):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store) and node.id in names:
                yield node.lineno, node.id


def numbers_by_place(declared: ast.ClassDef) -> list[str]:
    """Fields of a dataclass that are plain numbers and may be given without their names."""
    made = [ast.unparse(d) for d in declared.decorator_list]
    made = [each for each in made if each.split("(")[0] in ("dataclass", "dataclasses.dataclass")]
    if not made or "kw_only=True" in made[0]:
        return []
    found = []
    for field in (node for node in declared.body if isinstance(node, ast.AnnAssign)):
        kinds = {kind.strip() for kind in ast.unparse(field.annotation).split("|")}
        if kinds == {"KW_ONLY"}:
            break
        if kinds & NUMBERS and kinds <= NUMBERS | {"None"}:
            found.append(ast.unparse(field.target))
    return found


@pytest.mark.parametrize("package", ["sitecalc", "installs", "crew"])
def test_a_parameter_means_the_same_to_the_end(package: str) -> None:
    wrong = [
        f"{module_name(path)} line {line}: {name}"
        for path in sources(package)
        for line, name in rebound(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert not wrong


@pytest.mark.parametrize("package", ["sitecalc", "installs", "crew"])
def test_three_numbers_are_given_by_name(package: str) -> None:
    """A number is never known by its place alone: two that changed places are a wrong calculation."""
    wrong = [
        f"{module_name(path)}: {node.name} takes {', '.join(numbers)} by place"
        for path in sources(package)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef) and len(numbers := numbers_by_place(node)) > MOST_BY_PLACE
    ]
    assert not wrong


def test_what_the_type_checker_passes_over_has_its_reason() -> None:
    """The kind of error and, behind it, why it is none."""
    wrong = [
        f"{path.relative_to(ROOT)} line {number}"
        for path in sources("sitecalc", "installs", "crew")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if (found := IGNORED.search(line)) and not (found[1] and found[2].strip("# "))
    ]
    assert not wrong


def test_the_rules_see_what_they_are_for() -> None:
    bad = """
def f(at, job, rows):
    job = locked(job)
    rows = [at for at in rows]
    if job:
        at += 1

@dataclass(frozen=True)
class A:
    name: str
    x_ft: float
    y_ft: float | None
    n: int = 1
"""
    tree = ast.parse(bad)
    assert sorted(rebound(tree)) == [(4, "rows"), (6, "at")]
    (declared,) = (node for node in tree.body if isinstance(node, ast.ClassDef))
    assert numbers_by_place(declared) == ["x_ft", "y_ft", "n"]
    assert numbers_by_place(ast.parse(bad.replace("    x_ft", "    _: KW_ONLY\n    x_ft")).body[1]) == []
