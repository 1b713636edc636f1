"""A benchmark that nobody runs goes on working: it begins, and what it times is a case the program takes."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench import pad_review

ROOT = Path(__file__).resolve().parents[2]
BEGINS = "import runpy, sys; runpy.run_path(sys.argv[1], run_name='begun')"


def commands() -> list[str]:
    """The benchmarks that are called by their file's name."""
    files = sorted((ROOT / "tests/bench").glob("*.py"))
    return [str(path.relative_to(ROOT)) for path in files if "__main__" in path.read_text()]


@pytest.mark.parametrize("file", commands())
def test_a_benchmark_begins_in_a_process_of_its_own(file: str) -> None:
    """Where no Django is set up, as it is for every test."""
    begun = subprocess.run([sys.executable, "-c", BEGINS, file], cwd=ROOT, capture_output=True, text=True)
    assert begun.returncode == 0, begun.stderr


def test_what_make_prove_and_make_bench_call_is_there() -> None:
    called = {word for word in (ROOT / "Makefile").read_text().split() if word.startswith("tests/bench/")}
    assert called and called <= set(commands())


@pytest.mark.parametrize("name", pad_review.runs())
def test_what_the_pads_benchmark_times_comes_to_an_end(name: str) -> None:
    pad_review.runs()[name]()
