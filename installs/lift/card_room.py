"""How high the drawings of the lift card may stand: it is one page, whatever is written on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from installs.drafting.letters import text_width

# px of static/installs/lift_card.css
PAGE, SAFETY = 1056 - 0.40 * 96, 18.0
HEAD, HEAD_LINE, HEAD_WIDE = 57.0, 18.0, 420.0
GATE, GATE_LINE, GATE_WIDE = 13.0, 15.5, 486.0
BODY, DAY = 8.0, 34.0
LIMITS, LIMIT_LINE, LIMIT_GAP, LIMIT_WIDE = 11.0, 15.0, 2.0, 330.0
BIG, BIG_LINE, BIG_WIDE, GO_LINE, GO_WIDE = 77.0, 15.0, 142.0, 16.0, 700.0
PEOPLE, NAME_LINE, NAME_WIDE = 81.0, 16.0, 128.0
BLOCK, BLOCK_LINE, BLOCK_WIDE = 64.0, 18.0, 150.0
MOST, LEAST = 506.0, 250.0
TEXT = 12.0


def lines(text: str, wide: float, size: float = TEXT) -> int:
    """Lines that a text sets, words kept whole (a hyphen may be parted)."""
    count, used = 1, 0.0
    for word in text.replace("-", "- ").split():
        # the drafting room counts letters wide, to blank under them: a tenth less is what they set
        long = 0.9 * text_width(f"{word} ", size)
        if used and used + long > wide:
            count, used = count + 1, 0.0
        used += long
    return count


def drawing_height(
    job: str,
    gate: str,
    limits: Iterable[Any],
    people: Iterable[Mapping[str, str]],
    firm: str,
    cites: str,
    big: Iterable[Any] = (),
    go: str = "",
) -> float:
    """px for the elevation and what stands beside it."""
    each = [lines(f"{limit.word}. {limit.text}", LIMIT_WIDE) * LIMIT_LINE + LIMIT_GAP for limit in limits]
    # two columns, no limit broken over them: the best place to part them
    column = min((max(sum(each[:i]), sum(each[i:])) for i in range(len(each) + 1)), default=0.0)
    # what is said of a signature, where it takes more than the one line that is there for it
    names = max((lines(p["name"], NAME_WIDE, 13.0) for p in people), default=1)
    signed = max((lines(p["signed"], NAME_WIDE) for p in people if p["signed"]), default=1)
    block = max(lines(firm, BLOCK_WIDE, 15.0), lines(cites, BLOCK_WIDE + 80) - 1)
    notes = max((lines(each.note, BIG_WIDE) for each in big), default=0)
    used = (
        (BIG + notes * BIG_LINE + lines(go, GO_WIDE) * GO_LINE if notes else 0.0) +
        HEAD + (lines(job, HEAD_WIDE, 13.5) - 1) * HEAD_LINE
        + GATE + lines(gate, GATE_WIDE) * GATE_LINE
        + BODY + DAY + LIMITS + column
        + PEOPLE + names * NAME_LINE + (signed - 1) * BIG_LINE
        + BLOCK + (block - 1) * BLOCK_LINE
    )  # fmt: skip
    return min(MOST, max(LEAST, PAGE - SAFETY - used))


def quadrant_radius(high_px: float, rows: int, note: str) -> float:
    """What the table by angle and its note leave."""
    return min(196.0, max(90.0, high_px - 134 - 18.0 * rows - lines(note, 290.0) * 15.0))
