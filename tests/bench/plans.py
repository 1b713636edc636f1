"""Plans by the machine against published problems and against the rules of the hand, printed as tables.

Published: PSPLIB's single-mode problems (R. Kolisch and A. Sprecher, European Journal of Operational Research
96 (1997) 205-216), read from the folder that PSPLIB names, with best_known.csv beside them; beside the
solver a priority rule from many starts. Own: seasons made up at random (tests/solver/seasons.py).

    PSPLIB=folder python tests/bench/plans.py [--sample]

``--sample`` takes three instances of each set and two sizes of seasons, for a glance on a busy machine.
"""

from __future__ import annotations

import csv
import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from crew.solver.making import planned
from crew.solver.rcpsp import by_rule, read_project, shortest
from crew.solver.solving import Effort
from tests.solver.season_checker import faults
from tests.solver.seasons import make_season

SETS = {"j30": 10.0, "j60": 30.0, "j120": 30.0}  # seconds for each instance, on two threads
SIZES, SEEDS, SEASON_S = (10, 20, 40, 80), (1, 2), 60.0
STARTS = 200


def published(folder: Path, sample: bool) -> None:
    """Gap: how much longer than the best known schedule, the mean over the instances of a set."""
    with (folder / "best_known.csv").open() as file:
        known = list(csv.DictReader(file))
    print(f"published problems, {'a sample, ' if sample else ''}two threads")
    print(f"{'set':6}{'instances':>10}{'s each':>8}{'proven':>9}{'mean gap':>10}{'rule':>8}")
    for name, seconds in SETS.items():
        rows = [row for row in known if row["set"] == name and (folder / f"{row['instance']}.sm").exists()]
        rows = rows[:: max(1, len(rows) // 3)][:3] if sample else rows
        proven = gap = rule = 0.0
        for row in rows:
            project = read_project((folder / f"{row['instance']}.sm").read_text())
            best = int(row["best_known_makespan"])
            found = shortest(project, Effort(seconds=seconds))
            proven += found.proven
            gap += found.length / best - 1
            rule += by_rule(project, starts=STARTS, seed=1).length / best - 1
        n = len(rows)
        if n:
            print(
                f"{name:6}{n:>10}{seconds:>8g}{proven / n:>9.1%}{gap / n:>10.2%}{rule / n:>8.1%}", flush=True
            )


def seasons(sample: bool) -> None:
    """How far below the plan by hand in points, and the bound below which no plan can be."""
    sizes, seeds = ((10, 40), (1,)) if sample else (SIZES, SEEDS)
    print(
        f"\nown seasons, {SEASON_S:g} s each, two threads; points, less is better; no plan is below the bound"
    )
    print(f"{'jobs':>5}{'seed':>6}{'by hand':>9}{'found':>8}{'below':>8}{'bound':>8}{'faults':>8}")
    for jobs in sizes:
        for seed in seeds:
            season = make_season(seed, jobs)
            found = planned(season, Effort(seconds=SEASON_S))
            hand, total = found.hand.total, found.score.total
            wrong = len(faults(season, found.days))
            points = f"{hand:>9,}{total:>8,}{1 - total / hand:>8.1%}{found.bound:>8,.0f}"
            print(f"{jobs:>5}{seed:>6}{points}{wrong:>8}", flush=True)


if __name__ == "__main__":
    folder = os.environ.get("PSPLIB")
    if folder:
        published(Path(folder), "--sample" in sys.argv)
    else:
        print("published problems: PSPLIB names no folder with them, so that none is solved")
    seasons("--sample" in sys.argv)
