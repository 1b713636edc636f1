"""The guide for contributors is true: what it names is there, and its recipes do what they say."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.arrows import ROOT

GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CODE = re.compile(r"`([^`\n]+)`")
FILE = re.compile(r"(?:[\w.-]+/)+[\w.-]*[\w-]")


def test_every_file_that_the_guide_names_is_there() -> None:
    """Paths with a placeholder (``<part>``) and those that a running system writes are none of the tree."""
    named = {path for code in CODE.findall(GUIDE) if "<" not in code for path in FILE.findall(code)}
    written = re.compile(r"^(var|\.venv|\.pytest_cache|host:\d+|https?)\b")
    tree = {str(p.relative_to(ROOT)) for top in TOP for p in (ROOT / top).rglob("*")} | set(TOP)
    missing = [
        path
        for path in sorted(named)
        if not written.match(path)
        and "." in Path(path).name
        and path not in tree
        and not any(each.endswith(f"/{path}") for each in tree)
    ]
    assert not missing


TOP = (
    "installs",
    "crew",
    "sitecalc",
    "templates",
    "static",
    "tests",
    ".ci",
    "manage.py",
    "docker-compose.yml",
)


def test_every_function_of_the_guides_tables_is_there() -> None:
    """As `installs/pour/review.py: load_cures(jobs, at) -> ...`."""
    named = re.findall(r"`((?:[\w]+/)+\w+\.py): (\w+)\(", GUIDE)
    assert len(named) > 3
    for path, function in named:
        assert re.search(rf"^def {function}\b|\b{function}\b", (ROOT / path).read_text(encoding="utf-8")), (
            path
        )


def recipe(title: str) -> list[tuple[str, str, str]]:
    """(file, the line it goes before or "" for the end, code) of each step between the recipe's marks."""
    text = GUIDE[GUIDE.index(f"<!-- recipe: {title} -->") :]
    text = text[: text.index("<!-- end -->")]
    steps, file = [], ""
    for said, code in re.findall(r"((?:In|and)[^\n]+)\n\n```python\n([\s\S]*?)```", text):
        where = CODE.findall(said)
        if said.startswith("In "):
            file = where.pop(0)
        steps.append((file, where[0] if where else "", code))
    return steps


@pytest.mark.slow
def test_a_newcomer_adds_a_figure_and_its_check_in_three_files_without_a_migration(tmp_path: Path) -> None:
    """On a copy of the tree: the page shows the figure, the check reads it, no table changes."""
    copy = tmp_path / "house"
    copy.mkdir()
    for name in ("installs", "crew", "sitecalc", "templates", "static"):
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "manage.py", copy)
    steps = recipe("a figure and its check")
    assert len({file for file, _, _ in steps}) == 3
    for file, before, code in steps:
        path = copy / file
        text = path.read_text(encoding="utf-8")
        assert before in text, f"{file} has no line {before!r}"
        place = text.index(before) if before else len(text)
        path.write_text(text[:place] + code + text[place:], encoding="utf-8")
    script = """
import django; django.setup()
from django.core.management import call_command
call_command("makemigrations", check=True, dry_run=True, verbosity=0)
from installs.foundation.forms import FoundationForm
from installs.foundation.models import FoundationDesign
from installs.foundation import review as room, forms
from installs.jobs.models import Job
room.tower_of = forms.tower_of = lambda job: None
def check(**figures):
    draft = FoundationDesign(job=Job(), **figures)
    return next(c for c in room.review(draft).checks if c.key == "topsoil")
assert check().verdict == "not checked"
assert check(topsoil_ft=1.0).passes
assert check(topsoil_ft=5.5).verdict == "fails"
form = FoundationForm({"topsoil_ft": "9"}, instance=FoundationDesign(job=Job()))
assert form["topsoil_ft"].label == "Depth of topsoil"
assert "at most 6 ft" in str(form.errors["topsoil_ft"])
assert [line.heading for line in form.schedule() if line.field.name == "topsoil_ft"] == ["Ground"]
print("stands")
"""
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=copy,
        env={"PATH": "", "DJANGO_SETTINGS_MODULE": "installs.settings", "VAR_DIR": str(tmp_path / "var")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.strip() == "stands", done.stderr[-2000:]
