"""What one way of failing is asked in every wind, and the one demand that governs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Literal

import numpy as np

from sitecalc.checks import Step
from sitecalc.foundation.ring import Floats

Way = Literal["tension", "shear"]
WAYS: tuple[Way, Way] = ("tension", "shear")


@dataclass(frozen=True)
class Found:
    """One demand against one design strength, kip; ``steps`` are only written out for what governs."""

    key: str
    way: Way
    demand: float
    strength: float
    where: str
    steps: Callable[[], tuple[Step, ...]]

    @property
    def ratio(self) -> float:
        return self.demand / self.strength if self.strength > 0 else math.inf


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One mode in every wind (rows): of each leg, group or row of bolts (columns) what is asked of it, kip.

    Demand 0: it is not asked in that wind. ``held`` are the legs of each column; ``where`` and ``steps`` are
    written out for a row and column that govern.
    """

    key: str
    way: Way
    demand: Floats
    strength: Floats
    held: tuple[frozenset[str], ...]
    where: Callable[[int, int], str]
    steps: Callable[[int, int], tuple[Step, ...]]

    @cached_property
    def ratio(self) -> Floats:
        with np.errstate(divide="ignore", invalid="ignore"):
            worked = np.where(self.strength > 0, self.demand / self.strength, np.inf)
        found: Floats = np.where(self.demand > 0, worked, 0.0)
        return found

    def at(self, row: int, column: int) -> Found:
        return Found(
            self.key,
            self.way,
            float(self.demand[row, column]),
            float(self.strength[row, column]),
            self.where(row, column),
            partial(self.steps, row, column),
        )
