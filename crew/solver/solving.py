"""Runs a CP-SAT model (OR-tools, Apache-2.0) from a hint, says how far it is, stops when it is told. Pure.

The package is imported inside the functions: only a worker has it in memory.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

LOOKED_S = 0.25  # between two words of progress


@dataclass(frozen=True, kw_only=True)
class Effort:
    """``seconds`` at most, on so many ``workers`` (threads); ``seed`` of its random choices.

    quick
        little is worked out before the search: the first better plan comes in a quarter of the time, as
        measured on seasons.
    """

    seconds: float = 20.0
    workers: int = 2
    seed: int = 1
    quick: bool = False


@dataclass(frozen=True)
class Sofar:
    """What is known while it runs: total of the best plan, and below which none can be (None: not yet)."""

    best: float | None
    bound: float | None


@dataclass(frozen=True)
class Solved:
    """``solver`` reads the values; None where nothing was found. ``proven``: no better one exists."""

    solver: cp_model.CpSolver | None
    best: float | None
    bound: float
    proven: bool
    impossible: bool = False


Told = Callable[[Sofar], None]


def solved(model: cp_model.CpModel, effort: Effort, told: Told | None = None) -> Solved:
    """``told`` is called in the caller's own thread; what it raises stops the solver, and is raised."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = effort.seconds
    solver.parameters.num_workers = effort.workers
    solver.parameters.random_seed = effort.seed
    if effort.quick:
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_presolve_iterations = 1
        solver.parameters.symmetry_level = 0
    seen = _Seen()
    solver.best_bound_callback = seen.took_bound
    found: list[object] = []
    run = threading.Thread(
        target=lambda: found.append(solver.solve(model, seen.callback())), name="solver", daemon=True
    )
    run.start()
    try:
        while run.is_alive():
            run.join(LOOKED_S)
            if told is not None:
                told(Sofar(seen.best, seen.bound))
    finally:
        if run.is_alive():
            solver.stop_search()
            run.join()
    status = found[0] if found else cp_model.UNKNOWN
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        best, bound = solver.objective_value, solver.best_objective_bound
        return Solved(solver, best, bound, status == cp_model.OPTIMAL)
    return Solved(None, None, solver.best_objective_bound, False, status == cp_model.INFEASIBLE)


class _Seen:
    """Written by the solver's own threads, read by ours."""

    def __init__(self) -> None:
        self.best: float | None = None
        self.bound: float | None = None

    def took_bound(self, bound: float) -> None:
        self.bound = bound

    def callback(self) -> cp_model.CpSolverSolutionCallback:
        from ortools.sat.python import cp_model

        seen = self

        class Solution(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                seen.best = self.objective_value

        return Solution()
