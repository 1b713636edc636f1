"""``python -m sitecalc`` in a shell. Rules of the program."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from sitecalc.__main__ import listing

ROOT = Path(__file__).resolve().parents[2]


def test_whoever_reads_the_list_may_stop_before_its_end() -> None:
    """``python -m sitecalc | head``: the pipe's other end is closed, and that is no error."""
    reading, writing = os.pipe()
    os.close(reading)
    try:
        ended = subprocess.run(
            [sys.executable, "-m", "sitecalc"], stdout=writing, stderr=subprocess.PIPE, cwd=ROOT, check=False
        )
    finally:
        os.close(writing)
    assert (ended.returncode, ended.stderr) == (0, b"")


def test_a_case_within_a_case_is_listed_with_its_fields() -> None:
    """Whoever writes the JSON needs the names inside ``wind`` and the rows of ``curve``."""
    blocks = {block.split(":")[0]: block for block in listing().split("\n\n")}
    lines = [line.split() for line in blocks["site.energy"].splitlines()]
    assert ["mean_mph", "mph"] in [line[:2] for line in lines]
    assert {"curve[]", "power_kw", "downtime_pct"} <= {line[0] for line in lines}
    assert "    crane_lb" in blocks["lift.ground"] and "    boom_ft" in blocks["lift.chart"]
