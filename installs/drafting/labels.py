"""Labels on one level of a drawing, so that none overlaps."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from installs.drafting.letters import text_width


@dataclass
class Labels:
    """Places labels on one level of a row so that none overlaps; the least needed is dropped first."""

    taken: list[tuple[float, float]] = field(default_factory=list)
    most: float = math.inf  # where the next thing begins: a label is drawn back before it

    def place(self, x: float, text: str, size: float) -> float | None:
        """Where it begins; None where it has no room."""
        width = text_width(text, size)
        left = min(x, self.most - width)
        if any(left < b + 6 and left + width > a - 6 for a, b in self.taken):
            return None
        self.taken.append((left, left + width))
        return left
