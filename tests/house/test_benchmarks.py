"""A benchmark that nobody runs goes on working: what it times is a case that the program takes."""

from __future__ import annotations

import pytest

from tests.bench import pad_review


@pytest.mark.parametrize("name", pad_review.runs())
def test_what_the_pads_benchmark_times_comes_to_an_end(name: str) -> None:
    pad_review.runs()[name]()
