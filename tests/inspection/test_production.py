"""Production between readings against the site's estimate: register differences, and days times kWh a day.

Worked by hand here; that the difference of a register is the energy between two readings is what a meter is.
"""

from __future__ import annotations

import itertools
from datetime import date, timedelta

import pytest
from django.urls import reverse

from installs.book.drawings import drawing_of
from installs.inspection.models import MeterReading
from installs.inspection.production import Production, both_svgs, production_of, production_svg
from installs.inspection.review import Span
from installs.jobs.services import release_design
from installs.site.charts import months_svg
from installs.site.review import review
from sitecalc.inputs import InputError
from sitecalc.site.production import YearEnergy, expected_kwh, stretches
from tests.drafting.drawn_plot import Reading
from tests.make import AT, alma, make_job
from tests.site.lots import make_site
from tests.turbine.machines import make_turbine

pytestmark = pytest.mark.django_db
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MPH = (14.0, 13.6, 14.0, 14.2, 12.9, 11.2, 10.0, 9.9, 11.5, 12.6, 13.0, 13.4)
MEANS = dict(zip(MONTHS, MPH, strict=True))
# 10 kWh a day
YEAR = YearEnergy(net_kwh=3_650.0, low_kwh=1_825.0, high_kwh=2_920.0)


def read(job, on: date, kwh: float, **more) -> MeterReading:
    return MeterReading.objects.create(
        job=job, read_on=on, production_kwh=kwh, recorded_by=alma(), recorded_at=AT, **more
    )


def released(job, **figures):
    make_turbine(job)
    site = make_site(job, **figures)
    found = review(site)
    return found, release_design(job, "site", site.inputs(), found.results, found.checks, by=alma(), at=AT)


def test_days_times_what_a_day_brings() -> None:
    assert expected_kwh(YEAR, date(2031, 3, 1), date(2031, 3, 11)) == pytest.approx(100.0)
    monthly = YearEnergy(net_kwh=730.0, low_kwh=0.0, high_kwh=0.0, monthly_kwh=(310.0, 280.0, *(14.0,) * 10))
    # half of January, all of February, none of March
    assert expected_kwh(monthly, date(2031, 1, 16), date(2031, 3, 1)) == pytest.approx(160.0 + 280.0)
    assert monthly.banded(100.0) == (0.0, 0.0) and YEAR.banded(100.0) == pytest.approx((50.0, 80.0))
    assert expected_kwh(YEAR, date(2031, 3, 1), date(2031, 3, 1)) == 0.0
    with pytest.raises(InputError):
        expected_kwh(YEAR, date(2031, 3, 2), date(2031, 3, 1))


def test_stretches_fill_the_days_without_gap_or_overlap() -> None:
    first, last = date(2030, 11, 17), date(2032, 3, 2)
    parts = list(stretches(first, last))
    assert parts[0][0] == first and parts[-1][1] == last
    assert all(
        a[1] == b[0] and a[0].month == (a[1] - timedelta(days=1)).month for a, b in itertools.pairwise(parts)
    )
    assert expected_kwh(YEAR, first, last) == pytest.approx(10.0 * (last - first).days)


def test_a_bar_is_as_high_as_the_difference_of_the_registers_over_its_days() -> None:
    spans = tuple(
        Span(first_on=a, last_on=b, production_kwh=kwh, import_kwh=None, export_kwh=None)
        for a, b, kwh in (
            (date(2031, 1, 10), date(2031, 2, 9), 450.0),
            (date(2031, 2, 9), date(2031, 2, 19), 60.0),
            (date(2031, 5, 1), date(2031, 7, 10), 350.0),
        )
    )
    for wide in (660.0, 358.0):
        chart = Reading(production_svg(Production(spans, YEAR, "A"), wide_px=wide))
        tops = [line[0][1] for line in chart.lines("produced")]
        assert tops == pytest.approx([15.0, 6.0, 5.0], abs=0.1)
        assert {round(hz, 1) for line in chart.lines("worked-out") for _, hz in line} == {10.0}
        band = {round(hz, 1) for line in chart.lines("expected") for _, hz in line}
        assert band == {5.0, 8.0}
    assert "860 of 1,100 kWh, 78 %, Jan 10, 2031 to Jul 10, 2031" in chart.told
    assert "550 to 880 kWh" in chart.words and "spread evenly: no means by month" in chart.words


def test_the_sum_to_date_is_against_the_released_site() -> None:
    job = make_job()
    found, _revision = released(job, monthly=[MEANS])
    for on, kwh in ((date(2031, 1, 1), 100.0), (date(2031, 2, 1), 1_100.0), (date(2031, 3, 1), 1_900.0)):
        read(job, on, kwh)
    production = production_of(job)
    january, february = found.energy.monthly_kwh[:2]
    assert production.produced_kwh == 1_800.0 and production.letter == "A"
    assert production.expected_kwh == pytest.approx(january + february)
    share = 100 * 1_800.0 / (january + february)
    assert production.words.startswith(f"1,800 of {january + february:,.0f} kWh, {share:.0f} %")


def test_a_new_meter_and_a_corrected_reading_give_no_energy_of_their_own() -> None:
    job = make_job()
    wrong = read(job, date(2031, 1, 1), 9_000.0)
    read(job, date(2031, 1, 1), 900.0, corrects=wrong)
    read(job, date(2031, 2, 1), 1_200.0)
    read(job, date(2031, 3, 1), 0.0)
    read(job, date(2031, 4, 1), 310.0)
    production = production_of(job)
    assert production.produced_kwh == 610.0 and production.days == 31 + 31
    assert (
        production.expected_kwh is None
        and "nothing to hold it against" in both_svgs(production)["production"]
    )


def test_the_page_has_sum_chart_and_folded_lines(at_the_desk) -> None:
    job = make_job()
    page = at_the_desk.get(reverse("inspections", args=[job.number])).content.decode()
    assert "two make a line" in page and "<details" not in page
    released(job)
    for month in range(1, 8):
        read(job, date(2031, month, 1), 1_000.0 * month)
    page = at_the_desk.get(reverse("inspections", args=[job.number])).content.decode()
    assert (
        "6,000 of" in page and "6 lines between readings" in page and page.count('aria-label="Produced') == 2
    )


@pytest.mark.parametrize("narrow", [False, True])
def test_the_book_draws_the_meters_at_maintenance(narrow: bool) -> None:
    job = make_job()
    assert drawing_of("maintenance", job, AT, narrow) == ""
    for month in (1, 4):
        read(job, date(2031, month, 1), 1_000.0 * month)
    drawn = Reading(drawing_of("maintenance", job, AT, narrow))
    assert len(drawn.lines("produced")) == 1 and float(drawn.root.attrib["width"]) <= (300 if narrow else 520)


def test_energy_by_month_carries_the_band_of_the_year() -> None:
    found, _revision = released(make_job(), monthly=[MEANS])
    energy = found.energy
    for wide in (660.0, 358.0):
        chart = Reading(months_svg(energy, wide_px=wide))
        tops = [max(kwh for _, kwh in line) for line in chart.lines("month")]
        assert tops == pytest.approx(energy.monthly_kwh, abs=max(tops) / 100)
        highs = [max(kwh for _, kwh in line) for line in chart.lines("band")]
        assert sum(highs) == pytest.approx(energy.high_kwh, rel=0.01)
    assert f"{energy.low_kwh:,.0f} to {energy.high_kwh:,.0f} kWh a year" in chart.words
