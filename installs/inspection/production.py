"""What the machine produced between readings, over what the site's estimate lets expect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from installs.drafting.plot import PHONE, WIDE, Axes, Plot
from installs.drafting.shapes import Pen
from installs.inspection.review import Span, spans
from installs.jobs.models import Job
from installs.jobs.standing import in_force
from installs.site.facts import SiteFacts
from sitecalc.inputs import InputError, build
from sitecalc.site.production import YearEnergy, expected_kwh, stretches
from sitecalc.wording import day_words

HIGH, LOW = 210.0, 190.0
PRODUCED, WORKED_OUT, BAND = Pen("heavy"), Pen("bar", "limit"), Pen("", fill="fold")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NAME_PX = 34.0  # of a month under the scale


@dataclass(frozen=True)
class Production:
    """Lines of the meters, and the estimate they are held against; ``letter`` of the site's release."""

    spans: tuple[Span, ...]
    year: YearEnergy | None
    letter: str = ""

    @property
    def produced_kwh(self) -> float:
        return sum(span.production_kwh for span in self.spans)

    @property
    def days(self) -> int:
        return sum(span.days for span in self.spans)

    @property
    def expected_kwh(self) -> float | None:
        """For the days that were read, as worked out."""
        if self.year is None or not self.spans:
            return None
        return sum(expected_kwh(self.year, span.first_on, span.last_on) for span in self.spans)

    @property
    def words(self) -> str:
        """The sum to date: "24,000 of 26,565 kWh, 90 %"."""
        if not self.spans:
            return ""
        first, last = self.spans[0].first_on, self.spans[-1].last_on
        when = f"{day_words(first, year=True)} to {day_words(last, year=True)}"
        expected = self.expected_kwh
        if not expected:
            return f"{self.produced_kwh:,.0f} kWh, {when}"
        share = 100 * self.produced_kwh / expected
        return f"{self.produced_kwh:,.0f} of {expected:,.0f} kWh, {share:.0f} %, {when}"


def production_of(job: Job, readings: Sequence[object] | None = None) -> Production:
    """``readings`` of the job, where they are at hand."""
    found = spans(job.readings.all() if readings is None else readings)  # type: ignore[arg-type]  # rows of the job's readings
    revision = in_force(job, "site")
    year = _year(revision.results) if revision else None
    return Production(tuple(found), year, revision.letter if revision and year else "")


def _year(results: object) -> YearEnergy | None:
    """Of a release; None where it holds no estimate, or one that cannot be read."""
    try:
        facts: SiteFacts = build(SiteFacts, results)
    except (InputError, TypeError, KeyError):
        return None
    energy = facts.energy
    if energy is None or energy.net_kwh <= 0:
        return None
    return YearEnergy(
        net_kwh=energy.net_kwh,
        low_kwh=energy.low_kwh,
        high_kwh=energy.high_kwh,
        monthly_kwh=energy.monthly_kwh,
    )


def both_svgs(production: Production) -> dict[str, str]:
    """For a page: beside its notes, and on a phone; nothing before two readings."""
    if not production.spans:
        return {}
    return {
        "production": production_svg(production),
        "production_narrow": production_svg(production, wide_px=PHONE, high_px=LOW),
    }


def production_svg(production: Production, *, wide_px: float = WIDE, high_px: float = HIGH) -> str:
    """A bar between two readings, as wide as its days, over the months' expectation. kWh a day."""
    bars, year = production.spans, production.year
    first, last = bars[0].first_on, bars[-1].last_on
    most = max(span.production_kwh / span.days for span in bars)
    if year is not None:
        most = max(most, *(year.a_day(start.month) for start, _ in stretches(first, last)))
    plot = Plot(
        Axes.of(
            wide_px, high_px, left=44.0, right=14.0, x_from=first.toordinal(), x_to=last.toordinal(),
            y_to=1.08 * most or 1.0, y_words="kWh a day", ticks=_ticks(first, last, wide_px - 58),
        )
    )  # fmt: skip
    if year is not None:
        _expected(plot, year, first, last)
    for span in bars:
        left, right = span.first_on.toordinal(), span.last_on.toordinal()
        gap = min(1.5, 0.12 * (right - left))
        high = span.production_kwh / span.days
        plot.line(((left + gap, 0), (left + gap, high)), Pen("thin"), "post")
        plot.line(((right - gap, 0), (right - gap, high)), Pen("thin"), "post")
        plot.line(((left + gap, high), (right - gap, high)), PRODUCED, "produced")
    _keys(plot, production)
    return plot.svg(f"Produced: {production.words}", _told(production))


def _expected(plot: Plot, year: YearEnergy, first: date, last: date) -> None:
    """Month by month: the band toned, the worked out figure dashed."""
    line = []
    for start, end in stretches(first, last):
        a_day, left, right = year.a_day(start.month), start.toordinal(), end.toordinal()
        low, high = year.banded(a_day)
        if high > low:
            plot.field(((left, low), (right, low), (right, high), (left, high)), BAND, "expected")
            for level in (low, high):
                plot.line(((left, level), (right, level)), Pen("thin"), "under")
        line += [(left, a_day), (right, a_day)]
    plot.line(line, WORKED_OUT, "worked out")


def _ticks(first: date, last: date, wide_px: float) -> tuple[tuple[float, str], ...]:
    """The first of months, so many as have room; January by its year."""
    starts = [start for start, _ in stretches(first, last) if start.day == 1]
    room = wide_px / NAME_PX
    every = next(n for n in (1, 2, 3, 6, 12, 24, 60, 120) if (last - first).days / 30.4 / n <= room)
    shown = [s for s in starts if (12 * s.year + s.month - 1) % every == 0]
    return tuple((float(s.toordinal()), f"{s.year}" if s.month == 1 else MONTHS[s.month - 1]) for s in shown)


def _keys(plot: Plot, production: Production) -> None:
    year, expected = production.year, production.expected_kwh
    produced = f"{production.produced_kwh:,.0f} kWh in {production.days} days"
    plot.key(PRODUCED, f"Produced between two readings: {produced}.")
    if year is None or expected is None:
        plot.key(None, "No site with its energy is released: nothing to hold it against.")
        return
    share = f"{100 * production.produced_kwh / expected:.0f} %"
    evenly = "" if year.by_month else ", spread evenly: no means by month"
    worked_out = f"{expected:,.0f} kWh for these days, {share}{evenly}"
    plot.key(WORKED_OUT, f"As worked out, site {production.letter}: {worked_out}.")
    low, high = year.banded(expected)
    band = f"{low:,.0f} to {high:,.0f} kWh" if low > 0 else f"at most {high:,.0f} kWh"
    if high > 0:
        plot.key(Pen("thin"), f"Toned: as measured machines gave, {band}.")


def _told(production: Production) -> str:
    lines = sorted(production.spans, key=lambda span: span.production_kwh / span.days)
    return (
        f"{len(lines)} lines between readings, from {_a_day(lines[0])} ({_between(lines[0])}) "
        f"to {_a_day(lines[-1])} ({_between(lines[-1])})."
    )


def _a_day(span: Span) -> str:
    return f"{span.production_kwh / span.days:,.0f} kWh a day"


def _between(span: Span) -> str:
    return f"{day_words(span.first_on, year=True)} to {day_words(span.last_on, year=True)}"
