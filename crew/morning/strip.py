"""The season schedule: one row a job, a column a day, each row a grade line.

Digging, pour and cure lie under the line; tower, hooks, wiring and papers stand on it. A gate is a
gap in the line with a line to sign beneath it. Pure: dataclasses in, SVG out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from installs.drafting import marks
from installs.drafting.letters import ROUTED, text_width
from installs.drafting.shapes import Lettering, Pen, Round, Shape, Stroke
from installs.drafting.svg import svg_document, svg_fragment
from sitecalc.wording import day_words

DAY_PX, ROW_PX, HEAD_PX, FOOT_PX = 14.0, 70.0, 52.0, 18.0
LEFT_PX, MARGIN_PX = 190.0, 174.0
GRADE = 38.0  # of a row: the grade line below its top
LABEL_PX = 12.0
EARTH_PX, CURE_PX = 10.0, 16.0

HAND = f"Routed Gothic Hand, {ROUTED}"
THIN, MEDIUM, HEAVY = Pen("thin"), Pen("medium"), Pen("heavy")
TENTATIVE = Pen("medium", "tentative")
PENCIL = Pen("thin", "waiting", "pencil")
UNDER = "under"  # the layer of the faint rules of the weeks, on which words may stand


@dataclass(frozen=True)
class Span:
    """Work or waiting from ``first`` to ``last`` (both included)."""

    kind: str  # excavation, pour, cure, lattice, hook, wiring, commissioning, weather, paper, survey, struck
    first: date
    last: date
    label: str = ""
    tentative: bool = False
    in_hand: bool = False  # papers
    maturity: tuple[float, float] = (0.0, 1.0)  # cure: at its first and last day
    rank: int = 5  # labels: the lowest is dropped last


@dataclass(frozen=True)
class GateMark:
    """A gate on the line before ``on``; ``signed`` is "IT May 16" or blank while closed."""

    on: date
    signed: str = ""


@dataclass(frozen=True)
class StripRow:
    number: str
    owner: str
    spans: tuple[Span, ...]
    gates: tuple[GateMark, ...] = ()
    moved: tuple[tuple[str, str], ...] = ()  # plan letter, "Tower lift May 23 to May 29, cold nights. IT"


@dataclass
class Labels:
    """Places labels on one level of a row so that none overlaps; the least needed is dropped first."""

    taken: list[tuple[float, float]] = field(default_factory=list)

    def place(self, x: float, text: str, size: float = LABEL_PX) -> bool:
        right = x + text_width(text, size)
        if any(x < b + 6 and right > a - 6 for a, b in self.taken):
            return False
        self.taken.append((x, right))
        return True


def strip_svg(rows: Sequence[StripRow], first: date, days: int, today: date) -> str:
    """The strip from ``first`` over ``days`` days, folded at ``today``."""
    drawn = (f'<g transform="{placed(n)}">{row_svg(row, first, days)}</g>' for n, row in enumerate(rows))
    return strip_of(frame_svg(len(rows), first, days, today) + "".join(drawn), len(rows), first, days)


def strip_of(inside: str, count: int, first: date, days: int) -> str:
    """A strip of ``count`` rows from its frame and rows as they were drawn."""
    return svg_document(
        (),
        title=f"Season schedule from {day_words(first, long=True)} over {days // 7} weeks, {count} jobs",
        box=(0, 0, _width(days), _foot(count) + FOOT_PX),
        inside=inside,
    )


def frame_svg(count: int, first: date, days: int, today: date) -> str:
    """Head, fold and foot round ``count`` rows."""
    scale, foot = Scale(first, days), _foot(count)
    shapes: list[Shape] = [*_fold(scale, today, foot), *_head(scale, today, foot)]
    shapes.append(Stroke(((0, foot), (_width(days), foot)), MEDIUM))
    return svg_fragment((UNDER if isinstance(s, Stroke) and s.pen == PENCIL else "strip", s) for s in shapes)


def row_svg(row: StripRow, first: date, days: int) -> str:
    """One row as if it stood at the top: where it stands says ``placed``."""
    return svg_fragment(("strip", s) for s in _row(row, Scale(first, days), _width(days)))


def placed(index: int) -> str:
    """The ``transform`` of the row that has ``index`` rows above it."""
    return f"translate(0 {HEAD_PX + ROW_PX * index:g})"


def _width(days: int) -> float:
    return LEFT_PX + days * DAY_PX + MARGIN_PX


def _foot(count: int) -> float:
    return HEAD_PX + ROW_PX * count


@dataclass(frozen=True)
class Scale:
    first: date
    days: int

    def x(self, day: date) -> float:
        """Left edge of a day's column, kept within the strip."""
        return LEFT_PX + DAY_PX * min(max((day - self.first).days, 0), self.days)

    def shows(self, first: date, last: date) -> bool:
        return last >= self.first and first < self.first + timedelta(days=self.days)


def _fold(scale: Scale, today: date, foot: float) -> list[Shape]:
    """What is behind today is toned; a black triangle on each margin, no line."""
    x = scale.x(today)
    return [
        Stroke(((0, HEAD_PX), (x, HEAD_PX), (x, foot), (0, foot)), Pen("", fill="fold"), closed=True),
        *marks.fold_triangle(x, HEAD_PX - 1),
        *marks.fold_triangle(x, foot + 3, down=False),
    ]


def _head(scale: Scale, today: date, foot: float) -> list[Shape]:
    x = scale.x(today)
    right = LEFT_PX + scale.days * DAY_PX
    shapes: list[Shape] = [
        Lettering((0, HEAD_PX - 8), "Season schedule", 14, family=ROUTED),
        Lettering((x - 8, 28), f"today, {day_words(today, weekday=True)}", LABEL_PX, "end", bold=True),
        Stroke(((0, HEAD_PX), (right + MARGIN_PX, HEAD_PX)), MEDIUM),
        Lettering((right + 12, HEAD_PX - 8), "margin: days moved", LABEL_PX, ink="pencil"),
    ]
    month = 0
    for offset in range(scale.days):
        day = scale.first + timedelta(days=offset)
        at = LEFT_PX + offset * DAY_PX
        if day.weekday() == 0:
            text = day_words(day, long=True) if day.month != month else str(day.day)
            month = day.month
            shapes.append(Stroke(((at, HEAD_PX - 14), (at, HEAD_PX)), MEDIUM))
            if abs(at - x) > 8:
                shapes.append(Stroke(((at, HEAD_PX), (at, foot)), PENCIL))
            if day != today:
                shapes.append(Lettering((at + 4, HEAD_PX - 8), text, LABEL_PX))
            else:
                shapes.append(Lettering((at + 9, HEAD_PX - 8), text, LABEL_PX, bold=True))
        else:
            shapes.append(Stroke(((at, HEAD_PX - 4), (at, HEAD_PX)), THIN))
    return shapes


def _row(row: StripRow, scale: Scale, width: float) -> list[Shape]:
    grade = GRADE
    shapes: list[Shape] = [
        Lettering((0, 22), row.number, 14, bold=True),
        Lettering((0, 40), shortened(row.owner, LEFT_PX - 12, 13), 13),
    ]
    shapes.append(Stroke(((0, ROW_PX), (width, ROW_PX)), THIN))
    spans = [s for s in row.spans if scale.shows(s.first, s.last)]
    shapes += _grade_line(row, spans, scale, grade)
    for span in spans:
        shapes += _span(span, scale, grade)
    shapes += _labels(spans, row.gates, scale, grade)
    right = LEFT_PX + scale.days * DAY_PX
    for line, (letter, words) in enumerate(row.moved[:1]):
        shapes += _moved(letter, words, right + 14, 14.0 + 40 * line)
    return shapes


def _moved(letter: str, words: str, x: float, y: float) -> list[Shape]:
    shapes: list[Shape] = [
        Round((x + 9, y + 9), 9, MEDIUM),
        Lettering((x + 9, y + 13.5), letter, LABEL_PX, "middle"),
    ]
    for index, line in enumerate(wrapped(words, MARGIN_PX - 46, LABEL_PX)[:3]):
        shapes.append(Lettering((x + 26, y + 8 + 14 * index), line, LABEL_PX))
    return shapes


def _grade_line(row: StripRow, spans: list[Span], scale: Scale, grade: float) -> list[Shape]:
    """The ground from the first work to the last; broken by gates, dashed where the plan is tentative."""
    standing = [s for s in spans if s.kind != "struck"]
    if not standing:
        return []
    left, right = (
        scale.x(min(s.first for s in standing)),
        scale.x(max(s.last for s in standing) + timedelta(days=1)),
    )
    firm = [s.last for s in standing if not s.tentative]
    turn = scale.x(max(firm) + timedelta(days=1)) if firm else left
    shapes: list[Shape] = []
    at = left
    for mark in sorted(row.gates, key=lambda g: g.on):
        x = scale.x(mark.on)
        if not left < x < right + 1 or x - at < 6:
            continue
        gap = x - 8
        shapes += _ground(at, gap, turn, grade)
        shapes += _gate(mark, gap, x, grade)
        at = x
    shapes += _ground(at, right, turn, grade)
    shapes.append(Stroke(((left, grade - 4), (left, grade + 4)), MEDIUM))
    shapes.append(Stroke(((right, grade - 4), (right, grade + 4)), MEDIUM))
    return shapes


def _gate(mark: GateMark, gap: float, x: float, grade: float) -> list[Shape]:
    """The gap's end ticks, and under what lies below the ground the line to sign, ending at the gate."""
    *ticks, _ = marks.gate(gap, x, grade)
    line = grade + CURE_PX + 14
    signed = Lettering((x + 2, line - 3), mark.signed, LABEL_PX, "end", family=HAND)
    return [
        *ticks,
        Stroke(((x + 4 - _signature_px(mark), line), (x + 4, line)), MEDIUM),
        *([signed] if mark.signed else []),
    ]


def _signature_px(mark: GateMark) -> float:
    """Length of the line to sign."""
    return max(44.0, text_width(mark.signed, LABEL_PX) + 6)


def _ground(left: float, right: float, turn: float, grade: float) -> list[Shape]:
    firm, loose = min(right, max(left, turn)), max(left, min(right, turn))
    shapes: list[Shape] = []
    if firm > left:
        shapes.append(Stroke(((left, grade), (firm, grade)), MEDIUM))
    if right > loose and right > firm:
        shapes.append(Stroke(((max(firm, left), grade), (right, grade)), TENTATIVE))
    return shapes


def _span(span: Span, scale: Scale, grade: float) -> list[Shape]:
    x = scale.x(span.first)
    right = scale.x(span.last + timedelta(days=1))
    wide = max(right - x, DAY_PX * 0.6)
    match span.kind:
        case "excavation":
            return marks.earth(x, grade, wide, EARTH_PX)
        case "pour":
            return marks.pour(x, grade, wide, CURE_PX)
        case "cure":
            start, end = span.maturity
            days = max((span.last - span.first).days + 1, 1)
            full = DAY_PX * days
            begun = x - DAY_PX * max((scale.first - span.first).days, 0)
            return marks.cure(x, grade, wide, CURE_PX, lambda px: start + (end - start) * (px - begun) / full)
        case "lattice":
            return marks.lattice(x, grade - 8, wide, 8)
        case "hook":
            return marks.hook(x + wide / 2, grade - 15, 15)
        case "wiring":
            return marks.wiring(x, grade - 6, wide)
        case "commissioning":
            return marks.commissioning(x + DAY_PX / 2, grade, 6)
        case "weather":
            return marks.weather_day(x + 1, grade - 13, 12, 12)
        case "paper":
            return marks.paper(x, grade, span.in_hand, scale.x(span.last))
        case "survey":
            return marks.survey(x + DAY_PX / 2, grade - 7)
        case "struck":
            return marks.struck(x + DAY_PX / 2, grade - 7)
    raise ValueError(f"no mark for {span.kind}")


STANDING = {"lattice", "hook", "wiring", "weather", "struck"}
ABOVE = {"lattice", "hook", "wiring", "commissioning", "paper", "survey", "excavation"}


def _labels(spans: list[Span], gates: Iterable[GateMark], scale: Scale, grade: float) -> list[Shape]:
    """Labels in the order of their rank; one that would overlap is left out."""
    above, below, papers = Labels(), Labels(), Labels()
    flags = [scale.x(s.first) for s in spans if s.kind == "paper"]
    for mark in gates:
        x = scale.x(mark.on)
        below.taken.append((x + 4 - _signature_px(mark), x + 4))
    shapes: list[Shape] = []
    for span in sorted(spans, key=lambda s: (s.rank, s.first)):
        if not span.label:
            continue
        x = scale.x(span.first)
        if span.kind == "paper":
            # beside its flag, if no other flag or tower work stands there
            x, y, level = x + 14, grade - 9, papers
            end = x + text_width(span.label, LABEL_PX)
            standing = [scale.x(s.first) for s in spans if s.kind in STANDING]
            if any(x - 14 < other < end + 4 for other in [*flags, *standing]):
                continue
        elif span.kind in ABOVE:
            y, level = grade - 20, above
        else:
            y, level = grade + CURE_PX + 13, below
        if level.place(x, span.label):
            shapes.append(Lettering((x, y), span.label, LABEL_PX))
    return shapes


def shortened(text: str, most_px: float, size: float) -> str:
    """The text, or as many of its words as fit."""
    fits = text
    while text_width(fits, size) > most_px and " " in fits:
        fits = fits.rsplit(" ", 1)[0]
    return fits


def wrapped(text: str, most_px: float, size: float) -> list[str]:
    lines = [""]
    for word in text.split():
        candidate = f"{lines[-1]} {word}".strip()
        if text_width(candidate, size) > most_px and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = candidate
    return lines
