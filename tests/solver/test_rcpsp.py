"""The solver beside published problems. A few in each run; all of them in tests/bench/plans.py."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from crew.solver.rcpsp import Project, by_rule, read_project, shortest
from crew.solver.solving import Effort

# three activities of 2, 3 and 2 periods that all take the one thing there is, the last after the first
SMALL = Project(
    durations=(0, 2, 3, 2, 0),
    after=((), (0,), (0,), (1,), (1, 2, 3)),
    needs=((0,), (1,), (1,), (1,), (0,)),
    there=(1,),
)


def test_what_takes_the_same_thing_comes_one_after_the_other():
    """By hand: 2 + 3 + 2 periods."""
    found = shortest(SMALL, Effort(seconds=5.0, workers=1))
    assert (found.length, found.bound, found.proven) == (7, 7, True)
    assert by_rule(SMALL, starts=5, seed=1).length == 7


def test_a_project_of_published_form_is_read():
    text = """PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           4
   4        1          0
****
REQUESTS/DURATIONS:
jobnr. mode duration  R 1  R 2
------------------------------
  1      1     0       0    0
  2      1     8       4    0
  3      1     4       0    3
  4      1     0       0    0
****
RESOURCEAVAILABILITIES:
  R 1  R 2
   12    4
****
"""
    assert read_project(text) == Project(
        durations=(0, 8, 4, 0),
        after=((), (0,), (0,), (1, 2)),
        needs=((0, 0), (4, 0), (0, 3), (0, 0)),
        there=(12, 4),
    )
    with pytest.raises(ValueError, match="PSPLIB"):
        read_project("PRECEDENCE RELATIONS:\n1 1")


PSPLIB = os.environ.get("PSPLIB")


@pytest.mark.skipif(not PSPLIB, reason="PSPLIB names no folder of published instances")
@pytest.mark.parametrize("name", ["j301_1", "j303_1", "j305_1"])
def test_a_published_instance_is_solved_to_its_known_optimum(name: str):
    """R. Kolisch and A. Sprecher, PSPLIB (1997); optima as collected in ScheduleOpt/benchmarks."""
    folder = Path(PSPLIB or "")
    rows = csv.DictReader((folder / "best_known.csv").read_text().splitlines())
    known = {row["instance"]: int(row["best_known_makespan"]) for row in rows}
    found = shortest(read_project((folder / f"{name}.sm").read_text()), Effort(seconds=60.0))
    assert found.proven and found.length == known[name]
