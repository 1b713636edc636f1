"""The verdict gauge: a small rule with a long tick at the limit; empty where there is no ratio."""

from __future__ import annotations

import math

from sitecalc.checks import Verdict

from .shapes import Pen, Segments, Shape, Stroke
from .svg import svg_document

WIDTH, HEIGHT, END = 126.0, 20.0, 1.5  # the rule runs from 0 to 1.5 of the limit
RULE_Y, BAR_Y, LIMIT_AT = 11.0, 5.5, WIDTH / END


def gauge_svg(
    ratio: float | None, title: str = "", *, verdict: str = Verdict.NOT_CHECKED, for_print: bool = False
) -> str:
    """The gauge of demand / capacity as an ``<svg>``; None or NaN has none: the rule alone, with the verdict.

    Past one and a half limits the bar ends at the rule's end.
    """
    said = in_words(ratio, verdict)
    return svg_document(
        (("gauge", shape) for shape in shapes(ratio)),
        title=f"{title}: {said}" if title else said,
        box=(-1, 0, WIDTH + 1, HEIGHT),
        for_print=for_print,
    )


def in_words(ratio: float | None, verdict: str = Verdict.NOT_CHECKED) -> str:
    """The same for those who hear the page."""
    if ratio is None or math.isnan(ratio):
        return str(verdict) if verdict == Verdict.DOES_NOT_APPLY else "not checked"
    if math.isinf(ratio):
        return "past the limit, no capacity at all"
    return f"{ratio:.2f} of the limit"


def past_limit(ratio: float) -> bool:
    return ratio > 1 + 1e-9  # the same hair's breadth as sitecalc.checks.compare


def shapes(ratio: float | None) -> list[Shape]:
    ticks = []
    for tenth in range(16):
        x, long = tenth * WIDTH / 15, tenth % 5 == 0
        ticks.append(((x, RULE_Y), (x, RULE_Y + (6.0 if long else 3.5))))
    drawn: list[Shape] = [
        Segments((((0.0, RULE_Y), (WIDTH, RULE_Y)), *ticks), Pen("thin")),
        Stroke(((LIMIT_AT, 1.0), (LIMIT_AT, HEIGHT - 1)), Pen("medium")),
    ]
    if ratio is not None and not math.isnan(ratio):
        end = min(max(ratio, 0.0), END) * LIMIT_AT
        drawn += [
            Stroke(((0.0, BAR_Y), (end, BAR_Y)), Pen("over" if past_limit(ratio) else "bar")),
            Stroke(((end, BAR_Y - 4), (end, RULE_Y)), Pen("medium")),
        ]
    return drawn
