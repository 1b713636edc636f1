"""The verdict gauge: a small rule with a long tick at the limit; empty while not checked."""

from __future__ import annotations

from sitecalc.checks import Check, Verdict

from .shapes import Pen, Segments, Shape, Stroke
from .svg import svg_document

WIDTH, HEIGHT, END = 126.0, 20.0, 1.5  # the rule runs from 0 to 1.5 of the limit
RULE_Y, BAR_Y, LIMIT_AT = 11.0, 5.5, WIDTH / END


def gauge(check: Check, *, for_print: bool = False) -> str:
    """The gauge as an ``<svg>``; demand past one and a half limits ends at the rule's end."""
    return svg_document(
        (("gauge", shape) for shape in shapes(check)),
        title=said(check),
        box=(-1, 0, WIDTH + 1, HEIGHT),
        for_print=for_print,
    )


def said(check: Check) -> str:
    """The same in words, for those who hear the page."""
    if check.ratio is None:
        return f"{check.title}: not checked"
    if check.ratio == float("inf"):
        return f"{check.title}: demand without any capacity, {check.verdict}"
    return f"{check.title}: {check.ratio:.2f} of the limit, {check.verdict}"


def shapes(check: Check) -> list[Shape]:
    ticks = []
    for tenth in range(16):
        x, long = tenth * WIDTH / 15, tenth % 5 == 0
        ticks.append(((x, RULE_Y), (x, RULE_Y + (6.0 if long else 3.5))))
    drawn: list[Shape] = [
        Segments((((0.0, RULE_Y), (WIDTH, RULE_Y)), *ticks), Pen("thin")),
        Stroke(((LIMIT_AT, 1.0), (LIMIT_AT, HEIGHT - 1)), Pen("medium")),
    ]
    if check.ratio is not None and check.verdict is not Verdict.NOT_CHECKED:
        end = min(max(check.ratio, 0.0), END) * LIMIT_AT
        pen = Pen("over" if check.verdict is Verdict.FAILS else "bar")
        drawn += [
            Stroke(((0.0, BAR_Y), (end, BAR_Y)), pen),
            Stroke(((end, BAR_Y - 4), (end, RULE_Y)), Pen("medium")),
        ]
    return drawn
