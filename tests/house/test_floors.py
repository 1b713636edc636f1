"""The floors of the house: crew -> installs -> sitecalc, and inside a room models before views."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.arrows import ROOT, imports, module_name, sources
from tests.house.ranks import OWN, rank

ROOF = {"installs.settings", "installs.urls"}
HEAVY = {"scipy", "matplotlib", "weasyprint", "ezdxf", "ortools", "pandas"}
FLOORS = {"sitecalc": 0, "installs": 1, "crew": 2}


def at_import_time(tree: ast.AST) -> Iterator[ast.stmt]:
    """Statements that run when the module is imported: everything outside functions."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.stmt):
            yield node
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            yield from at_import_time(node)


def under_type_checking(tree: ast.Module) -> set[ast.stmt]:
    blocks = [n for n in ast.walk(tree) if isinstance(n, ast.If) and "TYPE_CHECKING" in ast.dump(n.test)]
    return {statement for block in blocks for statement in block.body}


@pytest.mark.parametrize("package", FLOORS)
def test_no_floor_imports_the_one_above(package: str) -> None:
    wrong = [
        f"{module_name(path)} imports {name}"
        for path in sources(package)
        if module_name(path) not in ROOF
        for name, _ in imports(path)
        if FLOORS.get(name.split(".")[0], -1) > FLOORS[package]
    ]
    assert not wrong


def test_installs_never_names_crew_in_a_string() -> None:
    wrong = [
        f"{module_name(path)}: {node.value!r}"
        for path in sources("installs")
        if module_name(path) not in ROOF
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.startswith("crew.")
    ]
    assert not wrong


def test_migrations_depend_downward_only() -> None:
    from django.db.migrations.loader import MigrationLoader

    migrations = MigrationLoader(None).disk_migrations
    wrong = [
        f"{name} depends on {other}"
        for (app, name), migration in migrations.items()
        for other, _ in migration.dependencies
        if app == "installs" and other == "crew"
    ]
    assert not wrong


def test_sitecalc_runs_without_django() -> None:
    """In a fresh interpreter in which Django and the upper floors cannot be imported."""
    modules = [module_name(path) for path in sources("sitecalc") if path.name != "__main__.py"]
    script = (
        "import sys, importlib\n"
        "for name in ('django', 'installs', 'crew'): sys.modules[name] = None\n"
        f"for name in {modules!r}: importlib.import_module(name)\n"
    )
    subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True)


def test_drawings_and_gate_rules_are_pure() -> None:
    """They know numbers and words, no database and no request."""
    pure = {
        "installs/drafting": ("installs.drafting", "sitecalc"),
        "installs/lift/state.py": ("sitecalc",),
        "installs/gates/job_facts.py": ("installs.lift.state", "sitecalc"),
        "installs/gates/rules.py": ("installs.gates.job_facts", "installs.jobs.phases", "sitecalc"),
        "installs/gates/states.py": ("installs.gates", "installs.jobs.phases"),
    }
    wrong = [
        f"{module_name(path)} imports {name}"
        for place, allowed in pure.items()
        for path in (sources(place) or [ROOT / place])
        for name, _ in imports(path)
        if name.split(".")[0] in ("django", "installs", "crew") and not name.startswith(allowed)
    ]
    assert not wrong


def test_every_file_has_a_rank() -> None:
    """By a name that says its kind, or by a line of its own with the reason: see tests/house/ranks.py."""
    files = {module_name(path) for path in sources("installs", "crew") if path.read_bytes()}
    assert sorted(name for name in files if rank(name) is None) == []
    assert sorted(set(OWN) - files) == [], "these lines name no file"
    assert [name for name, (_, why) in OWN.items() if not why.strip()] == []


def climbs(path: Path) -> Iterator[tuple[str, str]]:
    """(file, what it imports) where that has the higher rank, unless it is imported for its types only."""
    mine, module = rank(module_name(path)), module_name(path)
    skip = under_type_checking(ast.parse(path.read_text(encoding="utf-8")))
    lines = {statement.lineno for statement in skip}
    for name, line in imports(path):
        theirs = rank(name) if name.split(".")[0] in ("installs", "crew") else None
        if mine is not None and theirs is not None and theirs > mine and line not in lines:
            yield module, name


def test_no_import_climbs() -> None:
    """Inside a room and from room to room: no model asks a review, no review a form, no service a view."""
    found = {climb for path in sources("installs", "crew") for climb in climbs(path)}
    assert found == set()


def test_heavy_packages_are_imported_inside_functions() -> None:
    wrong = []
    for path in sources("sitecalc", "installs", "crew"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        skip = under_type_checking(tree)
        for node in at_import_time(tree):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [str(node.module)] if isinstance(node, ast.ImportFrom) else []
            if node not in skip and HEAVY & {name.split(".")[0] for name in names}:
                wrong.append(f"{module_name(path)} line {node.lineno}")
    assert not wrong


def test_a_web_process_starts_without_the_heavy_packages() -> None:
    script = (
        "import sys\n"
        "import installs.wsgi\n"
        "from django.urls import get_resolver\n"
        "get_resolver().reverse_dict\n"
        f"print(*sorted({HEAVY!r} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, check=True, capture_output=True, text=True
    )
    assert done.stdout.strip() == ""


def test_every_model_is_handed_on_once_under_its_own_name() -> None:
    """installs/models.py hands on every room's models, so that Django and the migrations see them."""
    found = [
        node.name
        for path in sources("installs")
        if path.name == "models.py" and path.parent != ROOT / "installs"
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and is_model(node)
    ]
    tree = ast.parse((ROOT / "installs" / "models.py").read_text(encoding="utf-8"))
    handed_on = [a.name for node in tree.body if isinstance(node, ast.ImportFrom) for a in node.names]
    assert len(found) == len(set(found))
    assert set(found) - set(handed_on) == set()


def is_model(node: ast.ClassDef) -> bool:
    """Model or Draft among the bases, and not abstract."""
    bases = {ast.unparse(base) for base in node.bases}
    return bool(bases & {"models.Model", "Draft", "AbstractUser"}) and "abstract = True" not in ast.unparse(
        node
    )


def test_no_room_imports_the_list_of_models() -> None:
    wrong = [
        module_name(path)
        for path in sources("installs", "crew")
        for name, _ in imports(path)
        if name == "installs.models"
    ]
    assert not wrong
