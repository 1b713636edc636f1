"""Files a person can read in one sitting, and a test tree without packages."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
OURS = ("sitecalc", "installs", "crew", "templates", "static", "tests")
READ_BY_PEOPLE = {".py", ".html", ".css", ".js"}
HARD_STOP = 400


def files() -> list[Path]:
    return [p for folder in OURS for p in (ROOT / folder).rglob("*") if p.suffix in READ_BY_PEOPLE]


def test_no_file_is_longer_than_400_lines() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in files()
        if "migrations" not in path.parts
        and (lines := len(path.read_text(encoding="utf-8").splitlines())) > HARD_STOP
    }
    assert not long


def test_the_tests_are_no_package() -> None:
    assert not list((ROOT / "tests").rglob("__init__.py"))
