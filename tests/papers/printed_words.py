"""Reads a printed paper as PDF for words that stand on one another or leave their sheet."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pypdfium2
from pypdfium2 import raw

# a letter's box has room above and below: lines set one under another share some of it
OF_A_LINE = 0.35
LEAST_PT = 1.0
Box = tuple[float, float, float, float]  # left, foot, right, head


def faults(content: bytes) -> list[str]:
    """Each with its page. Turned words are read where they are drawn: on the pages."""
    document = pypdfium2.PdfDocument(content)
    found = []
    for number, page in enumerate(document, 1):
        right, head = page.get_size()
        words = _upright(page.get_textpage())
        for (left, foot, over, top), word in words:
            if left < -LEAST_PT or foot < -LEAST_PT or over > right + LEAST_PT or top > head + LEAST_PT:
                found.append(f"page {number}: “{word}” leaves its sheet")
        found += [
            f"page {number}: “{one}” and “{other}” stand on one another"
            for (box, one), (its, other) in combinations(words, 2)
            if _meet(box, its)
        ]
    return found


def _upright(page: Any) -> list[tuple[Box, str]]:
    boxes = [page.get_rect(n) for n in range(page.count_rects())]
    words = [(box, " ".join(page.get_text_bounded(*box).split())) for box in boxes if _is_upright(page, box)]
    return [(box, word) for box, word in words if word]


def _is_upright(page: Any, box: Box) -> bool:
    left, foot, _right, head = box
    letter = page.get_index(left + 0.5, (foot + head) / 2, 3, 3)
    return letter is not None and abs(raw.FPDFText_GetCharAngle(page, letter)) < 0.01


def _meet(one: Box, other: Box) -> bool:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return wide > LEAST_PT and high > OF_A_LINE * min(one[3] - one[1], other[3] - other[1])
