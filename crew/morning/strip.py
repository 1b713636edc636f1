"""The season schedule: one row a job, a column a day, each row a grade line.

Digging, pour and cure lie under the line; tower, hooks, wiring and papers stand on it. A gate is a
gap in the line with a line to sign beneath it. Pure: dataclasses in, SVG out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from installs.drafting import marks
from installs.drafting.labels import Labels
from installs.drafting.letters import ROUTED, shortened, text_width, wrapped
from installs.drafting.shapes import Lettering, Pen, Round, Shape, Stroke
from installs.drafting.svg import svg_document, svg_fragment
from sitecalc.wording import day_words

ROW_PX, HEAD_PX, FOOT_PX = 70.0, 58.0, 18.0
DATES_PX = 14.0  # the foot of the dates above the rows: clear of today's triangle on any day of a week
LEFT_PX, MARGIN_PX = 190.0, 174.0
NUMBER_PX = 84.0  # of the names on the left: the job's number, which a narrow screen keeps alone
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
    return svg_fragment(_row(row, Scale(first, days), _width(days)))


def placed(index: int) -> str:
    """The ``transform`` of the row that has ``index`` rows above it."""
    return f"translate(0 {HEAD_PX + ROW_PX * index:g})"


def _width(days: int) -> float:
    return Scale(date.min, days).right + MARGIN_PX


def _foot(count: int) -> float:
    return HEAD_PX + ROW_PX * count


@dataclass(frozen=True)
class Scale:
    first: date
    days: int

    @property
    def day_px(self) -> float:
        """The longer the time, the narrower a day."""
        return 14.0 if self.days <= 70 else 9.0 if self.days <= 182 else 6.0

    @property
    def end(self) -> date:
        return self.first + timedelta(days=self.days)

    @property
    def right(self) -> float:
        return LEFT_PX + self.days * self.day_px

    def x(self, day: date) -> float:
        """Left edge of a day's column; of work that goes on beyond an edge that edge."""
        return LEFT_PX + self.day_px * min(max((day - self.first).days, 0), self.days)

    def shows(self, first: date, last: date) -> bool:
        return last >= self.first and first < self.end


def _fold(scale: Scale, today: date, foot: float) -> list[Shape]:
    """What is behind today is toned; a black triangle on each margin, no line."""
    x = scale.x(today)
    return [
        Stroke(((0, HEAD_PX), (x, HEAD_PX), (x, foot), (0, foot)), Pen("", fill="fold"), closed=True),
        *marks.fold_triangle(x, HEAD_PX - 1),
        *marks.fold_triangle(x, foot + 3, down=False),
    ]


def _head(scale: Scale, today: date, foot: float) -> list[Shape]:
    x, right = scale.x(today), scale.right
    shapes: list[Shape] = [
        Lettering((0, HEAD_PX - 8), "Season schedule", 14, family=ROUTED),
        Stroke(((0, HEAD_PX), (right + MARGIN_PX, HEAD_PX)), MEDIUM),
        Lettering((right + 12, HEAD_PX - 8), "margin: moved, later", LABEL_PX, ink="pencil"),
    ]
    if scale.shows(today, today):
        words = f"today, {day_words(today, weekday=True)}"
        fits = x - 8 - text_width(words, LABEL_PX) > LEFT_PX
        shapes.append(
            Lettering((x - 8 if fits else x, 28), words, LABEL_PX, "end" if fits else "start", bold=True)
        )
    mondays = [day for n in range(scale.days) if (day := scale.first + timedelta(days=n)).weekday() == 0]
    for day in mondays:
        at = scale.x(day)
        if abs(at - x) > 8:
            shapes.append(Stroke(((at, HEAD_PX), (at, foot)), PENCIL))
    if scale.day_px > 6:
        ticks = (scale.x(scale.first + timedelta(days=n)) for n in range(scale.days))
        shapes += [Stroke(((at, HEAD_PX - 4), (at, HEAD_PX)), THIN) for at in ticks]
    return shapes + _dates(mondays, scale, today)


def _dates(mondays: Sequence[date], scale: Scale, today: date) -> list[Shape]:
    """The month at its first Monday, with the year where it begins; the days of the others where there is
    room."""
    places, seen = Labels(most=scale.right + 8), set[tuple[int, int]]()
    shapes: list[Shape] = []
    months = []
    for day in mondays:
        if (day.year, day.month) not in seen:
            seen.add((day.year, day.month))
            months.append(day)
    for day in [*months, *(d for d in mondays if d not in months)]:
        named = day_words(day, long=True, year=day.year != today.year)
        text = named if day in months else str(day.day)
        tick = scale.x(day)
        at = tick + 4
        if at + text_width(text, LABEL_PX) < scale.right + 8 and places.place(at, text, LABEL_PX) is not None:
            shapes += [
                Lettering((at, HEAD_PX - DATES_PX), text, LABEL_PX, bold=day == today),
                Stroke(((tick, HEAD_PX - DATES_PX - 6), (tick, HEAD_PX)), MEDIUM),
            ]
        else:
            shapes.append(Stroke(((tick, HEAD_PX - 4), (tick, HEAD_PX)), THIN))
    return shapes


# marks of one day: beyond the edge they are said and not drawn on it; a paper is waited for to its last day
POINTS = {"hook", "commissioning", "weather", "survey", "struck", "pour"}


def _row(row: StripRow, scale: Scale, width: float) -> list[tuple[str, Shape]]:
    """By layer: the names come last and stand on all the rest, for they stay where the strip is scrolled."""
    shapes: list[Shape] = [Stroke(((0, ROW_PX), (width, ROW_PX)), THIN)]
    spans = [s for s in row.spans if scale.shows(s.first, s.first if s.kind in POINTS else s.last)]
    gates = [gate for gate in sorted(row.gates, key=lambda g: g.on) if scale.shows(gate.on, gate.on)]
    shapes += _grade_line(spans, gates, scale)
    for span in spans:
        shapes += _span(span, scale, GRADE)
    shapes += _labels(spans, gates, _earlier(row, scale), scale)
    for letter, words in row.moved[:1]:
        shapes += _moved(letter, words, scale.right + 14, 8.0)
    later = _later(row, scale)
    if later:
        shapes.append(Lettering((scale.right + 14, 66), shortened(later, MARGIN_PX - 14, LABEL_PX), LABEL_PX))
    number: list[Shape] = [_ground_of(0, NUMBER_PX), Lettering((0, 22), row.number, 14, bold=True)]
    owner: list[Shape] = [
        _ground_of(NUMBER_PX, LEFT_PX - 8),
        Lettering((0, 40), shortened(row.owner, LEFT_PX - 12, 13), 13),
    ]
    layers = (("strip", shapes), ("names", number), ("names owner", owner))
    return [(layer, shape) for layer, found in layers for shape in found]


def _ground_of(left: float, right: float) -> Shape:
    """The paper under a name, so that what is scrolled under it is not read with it."""
    corners = ((left, 1.0), (right, 1.0), (right, ROW_PX - 1), (left, ROW_PX - 1))
    return Stroke(corners, Pen("", fill="blank"), closed=True)


def _later(row: StripRow, scale: Scale) -> str:
    """What lies beyond the right edge: "later: tower lift Feb 22, 3 more"."""
    beyond = sorted((s for s in row.spans if _is_work(s) and s.first >= scale.end), key=lambda s: s.first)
    if not beyond:
        return ""
    more = f", {len(beyond) - 1} more" if len(beyond) > 1 else ""
    return f"later: {_called(beyond[0])} {day_words(beyond[0].first, beside=(scale.first,))}{more}"


def _earlier(row: StripRow, scale: Scale) -> str:
    """What lies before the left edge: "earlier: pour Dec 7, 2 more"."""
    gone = [s for s in row.spans if _is_work(s) and s.last < scale.first]
    if not gone:
        return ""
    newest = max(gone, key=lambda s: s.last)
    more = f", {len(gone) - 1} more" if len(gone) > 1 else ""
    return f"earlier: {_called(newest)} {day_words(newest.first, beside=(scale.first,))}{more}"


def _is_work(span: Span) -> bool:
    return span.kind not in ("struck", "weather", "paper")


def _called(span: Span) -> str:
    return span.label.partition(",")[0] or {"hook": "lift"}.get(span.kind, span.kind)


def _moved(letter: str, words: str, x: float, y: float) -> list[Shape]:
    shapes: list[Shape] = [
        Round((x + 9, y + 9), 9, MEDIUM),
        Lettering((x + 9, y + 13.5), letter, LABEL_PX, "middle"),
    ]
    for index, line in enumerate(wrapped(words, MARGIN_PX - 46, LABEL_PX)[:3]):
        shapes.append(Lettering((x + 26, y + 8 + 14 * index), line, LABEL_PX))
    return shapes


def _grade_line(spans: list[Span], gates: list[GateMark], scale: Scale) -> list[Shape]:
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
    signed = _signatures(gates, scale)
    at = left
    for mark in gates:
        x = scale.x(mark.on)
        if not left < x < right + 1 or x - at < 6:
            continue
        gap = x - 8
        shapes += _ground(at, gap, turn, GRADE)
        shapes += _gate(mark, gap, x, signed.get(mark))
        at = x
    shapes += _ground(at, right, turn, GRADE)
    shapes.append(Stroke(((left, GRADE - 4), (left, GRADE + 4)), MEDIUM))
    shapes.append(Stroke(((right, GRADE - 4), (right, GRADE + 4)), MEDIUM))
    return shapes


def _gate(mark: GateMark, gap: float, x: float, line: tuple[float, float] | None) -> list[Shape]:
    """The gap's end ticks, and under what lies below the ground the line to sign, ending at the gate."""
    *ticks, _ = marks.gate(gap, x, GRADE)
    if line is None:
        return ticks
    y = GRADE + CURE_PX + 14
    signed = Lettering((x + 2, y - 3), mark.signed, LABEL_PX, "end", family=HAND)
    return [*ticks, Stroke(((line[0], y), (line[1], y)), MEDIUM), *([signed] if mark.signed else [])]


def _signatures(gates: Sequence[GateMark], scale: Scale) -> dict[GateMark, tuple[float, float]]:
    """Where the lines to sign stand; of two that would stand on one another the first."""
    found: dict[GateMark, tuple[float, float]] = {}
    taken = LEFT_PX
    for mark in gates:
        right = scale.x(mark.on) + 4
        left = right - max(44.0, text_width(mark.signed, LABEL_PX) + 6)
        if left >= taken:
            found[mark], taken = (left, right), right + 6
    return found


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
    px = scale.day_px
    wide = max(right - x, px * 0.6)
    match span.kind:
        case "excavation":
            return marks.earth(x, grade, wide, EARTH_PX)
        case "pour":
            return marks.pour(x, grade, wide, CURE_PX)
        case "cure":
            start, end = span.maturity
            days = max((span.last - span.first).days + 1, 1)
            full = px * days
            begun = x - px * max((scale.first - span.first).days, 0)
            return marks.cure(x, grade, wide, CURE_PX, lambda px: start + (end - start) * (px - begun) / full)
        case "lattice":
            return marks.lattice(x, grade - 8, wide, 8)
        case "hook":
            return marks.hook(x + wide / 2, grade - 15, 15)
        case "wiring":
            return marks.wiring(x, grade - 6, wide)
        case "commissioning":
            return marks.commissioning(x + px / 2, grade, 6)
        case "weather":
            return marks.weather_day(x + 1, grade - 13, 12, 12)
        case "paper":
            return marks.paper(x, grade, span.in_hand, scale.x(span.last))
        case "survey":
            return marks.survey(x + px / 2, grade - 7)
        case "struck":
            return marks.struck(x + px / 2, grade - 7)
    raise ValueError(f"no mark for {span.kind}")


STANDING = {"lattice", "hook", "wiring", "weather", "struck"}
ABOVE = {"lattice", "hook", "wiring", "commissioning", "paper", "survey", "excavation"}


def _labels(spans: list[Span], gates: Sequence[GateMark], earlier: str, scale: Scale) -> list[Shape]:
    """Labels in the order of their rank; one that would overlap is left out.

    What stands above the ground shares one level with the papers' flags, whose labels stand a little lower.
    """
    above, below = Labels(most=scale.right), Labels(most=scale.right)
    flags = [scale.x(s.first) for s in spans if s.kind == "paper"]
    below.taken += _signatures(gates, scale).values()
    shapes: list[Shape] = []
    if earlier and (at := above.place(LEFT_PX + 2, earlier, LABEL_PX)) is not None:
        shapes.append(Lettering((at, GRADE - 20), earlier, LABEL_PX, ink="pencil"))
    for span in sorted(spans, key=lambda s: (s.rank, s.first)):
        if not span.label:
            continue
        x = scale.x(span.first)
        y, level = GRADE + CURE_PX + 13, below
        if span.kind == "paper":
            # beside its flag, if no other flag or tower work stands there
            x, y, level = x + 14, GRADE - 9, above
            end = x + text_width(span.label, LABEL_PX)
            standing = [scale.x(s.first) for s in spans if s.kind in STANDING]
            if end > scale.right or any(x - 14 < other < end + 4 for other in [*flags, *standing]):
                continue
        elif span.kind in ABOVE:
            y, level = GRADE - 20, above
        at = level.place(x, span.label, LABEL_PX)
        if at is not None:
            shapes.append(Lettering((at, y), span.label, LABEL_PX))
    return shapes
