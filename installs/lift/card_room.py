"""How high the drawings of the lift card may stand: it is one page, whatever is written on it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from installs.drafting.letters import text_width

# px of static/installs/lift_card.css
PAGE, SAFETY = 1056 - 0.40 * 96, 16.0
HEAD, HEAD_LINE, HEAD_WIDE = 57.0, 18.0, 420.0
GATE, GATE_LINE, GATE_WIDE = 13.0, 15.5, 486.0
BODY, DAY = 8.0, 34.0
LIMITS, LIMIT_LINE, LIMIT_GAP, LIMIT_WIDE = 11.0, 15.0, 2.0, 330.0
PEOPLE, NAME_LINE, NAME_WIDE = 81.0, 16.0, 128.0
BLOCK, BLOCK_LINE, BLOCK_WIDE = 64.0, 18.0, 150.0
MOST, LEAST = 506.0, 250.0
TEXT = 12.0


def lines(text: str, wide: float, size: float = TEXT) -> int:
    return max(1, math.ceil(text_width(text, size) / wide))


def drawing_height(
    job: str, gate: str, limits: Iterable[Any], people: Iterable[Mapping[str, str]], firm: str, cites: str
) -> float:
    """px for the elevation and what stands beside it; text widths are taken generously."""
    each = [lines(f"{limit.word}. {limit.text}", LIMIT_WIDE) * LIMIT_LINE + LIMIT_GAP for limit in limits]
    # a limit is not broken over the columns: the longer one may hold one limit more than half
    column = sum(each) / 2 + max(each, default=0.0) / 2
    names = max((lines(p["name"], NAME_WIDE, 13.0) for p in people), default=1)
    block = max(lines(firm, BLOCK_WIDE, 15.0), lines(cites, BLOCK_WIDE + 80) - 1)
    used = (
        HEAD + (lines(job, HEAD_WIDE, 13.5) - 1) * HEAD_LINE
        + GATE + lines(gate, GATE_WIDE) * GATE_LINE
        + BODY + DAY + LIMITS + column
        + PEOPLE + names * NAME_LINE
        + BLOCK + (block - 1) * BLOCK_LINE
    )  # fmt: skip
    return min(MOST, max(LEAST, PAGE - SAFETY - used))


def quadrant_radius(high_px: float, rows: int, note: str) -> float:
    """What the table by angle and its note leave."""
    return min(196.0, max(90.0, high_px - 134 - 18.0 * rows - lines(note, 290.0) * 15.0))
