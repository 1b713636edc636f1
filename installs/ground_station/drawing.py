"""The one-line diagram: down the tower to the inverter, and up again to the utility.

Not to scale. On a desk and on paper it is a U; on a phone one line from top to bottom. The small one
for the job book runs across.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from textwrap import wrap
from typing import Any

from installs.drafting import Drawing, to_svg
from installs.drafting.letters import NOTE, TEXT, text_width, wrapped
from installs.ground_station.chain import Item, chain
from installs.ground_station.models import GroundStationDesign
from installs.ground_station.review import Review
from installs.ground_station.symbols import SYMBOLS, block
from sitecalc.__main__ import plain
from sitecalc.checks import Check

LINE_PX, WORDS_PX, COLUMN_PX, BALLOON_PX = 16.0, 64.0, 440.0, -80.0
NEXT_LINE_PX = 86.0  # of the small one-line where it goes on from the left
LETTERS, LETTERS_NARROW = 40, 32
SMALL = 0.7


@dataclass(frozen=True)
class Laid:
    item: Item
    y: float
    words: tuple[tuple[str, bool], ...]


def draw(draft: GroundStationDesign, review: Review | None) -> dict[str, str]:
    """SVGs for the design page: "one_line" for a wide window, "one_line_narrow" for a phone."""
    runs = plain(review.results)["runs"] if review else ()
    faults = faults_by_run(review.checks) if review else {}
    design = draft.filled()
    before, after = chain(design, runs, faults)
    return {
        "one_line": to_svg(u_drawing(before, after, design.edition)),
        "one_line_narrow": to_svg(single_drawing([*before, *after], design.edition)),
    }


def faults_by_run(checks: Sequence[Check | Mapping[str, Any]]) -> dict[str, list[str]]:
    """Checks of runs that fail, by the run's name: "ampacity after correction fails"."""
    found: dict[str, list[str]] = {}
    for check in checks:
        data = check if isinstance(check, Mapping) else plain(check)
        name, colon, what = data["title"].partition(": ")
        if colon and data["verdict"] == "fails":
            found.setdefault(name, []).append(f"{what} fails")
    return found


def u_drawing(before: Sequence[Item], after: Sequence[Item], edition: str) -> Drawing:
    d = Drawing("One-line diagram", px_per_ft=1, description=told([*before, *after]))
    left, depth = laid_out(before, LETTERS)
    right, _height = laid_out(after, LETTERS)
    draw_column(d, [_flipped(item, depth) for item in left], 0.0, ends="first")
    draw_column(d, right, COLUMN_PX, ends="last")
    d.polyline([(0, 0), (0, -14), (COLUMN_PX, -14), (COLUMN_PX, 0)])
    d.drawing_title((BALLOON_PX - 12, -52), "One-line diagram", f"not to scale; NEC {edition}")
    return d


def single_drawing(items: Sequence[Item], edition: str) -> Drawing:
    d = Drawing("One-line diagram", px_per_ft=1, description=told(items))
    laid, depth = laid_out(items, LETTERS_NARROW)
    draw_column(d, [_flipped(item, 0) for item in laid], 0.0, ends="both", down=True)
    d.drawing_title((BALLOON_PX - 12, -depth - 40), "One-line diagram", f"not to scale; NEC {edition}")
    return d


def laid_out(items: Sequence[Item], letters: int) -> tuple[list[Laid], float]:
    """Each item's middle, from 0 on, and the whole length."""
    laid, at = [], 0.0
    for item in items:
        words = _words(item, letters)
        need = max(2 * SYMBOLS[item.symbol].half + 26, len(words) * LINE_PX + 16)
        laid.append(Laid(item, at + need / 2, words))
        at += need
    return laid, at


def _flipped(laid: Laid, depth: float) -> Laid:
    return Laid(laid.item, depth - laid.y, laid.words)


def _words(item: Item, letters: int) -> tuple[tuple[str, bool], ...]:
    """Lines beside the symbol with whether they are heavy; long ones are broken."""
    lines = [(item.title, True), *((line, False) for line in item.lines), *((f, True) for f in item.faults)]
    return tuple((part, heavy) for text, heavy in lines for part in wrap(text, letters) or [""])


def draw_column(d: Drawing, laid: Sequence[Laid], x: float, ends: str, down: bool = False) -> None:
    """Symbols, the conductor between them, words and balloons; ``ends`` says where it does not go on."""
    for first, second in pairwise(laid):
        way = 1 if second.y > first.y else -1
        a = first.y + way * SYMBOLS[first.item.symbol].half
        b = second.y - way * SYMBOLS[second.item.symbol].half
        d.line((x, a), (x, b))
    loose = {"first": laid[-1:], "last": laid[:1], "both": ()}[ends]
    for item in loose:
        d.line((x, item.y - SYMBOLS[item.item.symbol].half), (x, 0))
    for item in laid:
        turn = 180.0 if down and item.item.symbol == "utility" else 0.0
        d.place(block(item.item.symbol, item.item.wires), (x, item.y), turn=turn)
        _letters(d, item.item, item.item.symbol, x, item.y)
        _draw_words(d, item, x + WORDS_PX)
        if item.item.balloon:
            d.balloon((x + BALLOON_PX, item.y), item.item.balloon)


def _draw_words(d: Drawing, laid: Laid, x: float) -> None:
    top = laid.y + (len(laid.words) - 1) * LINE_PX / 2 - 4
    for index, (text, heavy) in enumerate(laid.words):
        d.text((x, top - index * LINE_PX), text, size=NOTE, bold=heavy)


def told(items: Sequence[Item]) -> str:
    """The drawing in words, for who cannot see it."""
    return " ".join(f"{'. '.join((item.title, *item.lines))}." for item in items)


def _letters(d: Drawing, item: Item, symbol: str, x: float, y: float) -> None:
    letters = item.mark or SYMBOLS[symbol].letters
    if letters:
        size = NOTE if item.mark else TEXT
        d.text((x, y - size * 0.35), letters, size=size, anchor="middle", routed=True)


def strip_drawing(items: Sequence[Item], heading: str, wide_px: float = math.inf) -> Drawing:
    """The small one-line: symbols from left to right, short words under them in two rows that never meet.

    Where it is longer than ``wide_px`` it goes on from the left, in as many lines as it takes.
    """
    d = Drawing("One-line diagram", px_per_ft=1, description=told(items))
    at, ends, previous, level = 0.0, [-1e9, -1e9], 0.0, 0.0
    for index, item in enumerate(item for item in items if item.symbol not in ("surge", "ground")):
        symbol = {"brake": "switch", "fused switch": "switch"}.get(item.symbol, item.symbol)
        symbol = f"{symbol} across" if f"{symbol} across" in SYMBOLS else symbol
        half = SYMBOLS[symbol].half * SMALL
        middle = at + max(half, 6.0) + (8.0 if index else 0.0)
        if index and middle + max(half, 6.0) > wide_px:
            d.line((previous, level), (previous + 10, level))
            level, previous, ends = level - NEXT_LINE_PX, -10.0, [-1e9, -1e9]
            middle = max(half, 6.0)
        if index:
            d.line((previous, level), (middle - half, level))
        d.place(block(symbol, item.wires), (middle, level), turn=-90, grow=SMALL, mirrored=True)
        _letters(d, item, symbol, middle, level)
        previous, at = middle + half, middle + max(half, 6.0)
        _short_words(d, item.short, middle, level, ends)
    said = [heading] if wide_px == math.inf else wrapped(heading, wide_px, NOTE)
    d.text((-4, 26 + LINE_PX * (len(said) - 1)), "\n".join(said), size=NOTE)
    return d


def _short_words(d: Drawing, text: str, middle: float, level: float, ends: list[float]) -> None:
    """In the first row that has room; left out where neither has."""
    if not text:
        return
    width = text_width(text, NOTE)
    for row, end in enumerate(ends):
        if middle - width / 2 > end + 8:
            d.text((middle, level - 30 - row * LINE_PX), text, size=NOTE, anchor="middle")
            ends[row] = middle + width / 2
            return
