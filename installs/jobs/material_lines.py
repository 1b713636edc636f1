"""One line of a material list, as the parts give them from their released designs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """``quantity`` is what the design needs, ``allowance`` what is ordered beyond it, both in ``unit``."""

    phase: str
    item: str
    detail: str
    quantity: float
    unit: str
    allowance: float = 0.0

    @property
    def order(self) -> float:
        return self.quantity + self.allowance
