"""Drawings that show today are legible on whichever day they are looked at: no line of it through a word."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from django.conf import settings
from playwright.sync_api import Browser

from crew.morning.strip import frame_svg
from installs.pour.chart import cure_chart
from installs.pour.chart_data import DAYS_AFTER, ChartData, Line
from tests.browser.conftest import PATIENCE_MS
from tests.browser.test_every_page import drawn_faults

pytestmark = pytest.mark.browser

LOOK = Path(settings.BASE_DIR) / "static/installs/look.css"
MONDAY = date(2031, 11, 3)


@pytest.fixture(scope="module")
def faults(chromium: Browser, tmp_path_factory: pytest.TempPathFactory):
    page = chromium.new_page(viewport={"width": 1440, "height": 900})
    page.set_default_timeout(PATIENCE_MS)
    blank = tmp_path_factory.mktemp("look") / "blank.html"
    blank.write_text(f'<!doctype html><link rel="stylesheet" href="{LOOK.as_uri()}"><body>')
    page.goto(blank.as_uri())
    for letters in ("400 12px Overpass", "600 12px Overpass", "700 12px Overpass", "12px 'Routed Gothic'"):
        assert page.evaluate("letters => document.fonts.load(letters).then((found) => found.length)", letters)

    def found(drawn: str) -> list[str]:
        page.evaluate("drawn => { document.body.innerHTML = drawn; }", drawn)
        assert page.evaluate(
            "() => document.fonts.ready.then(() => document.fonts.check('600 12px Overpass'))"
        )
        return drawn_faults(page)

    yield found
    page.close()


@pytest.mark.parametrize("days", [70, 182, 273])
def test_the_head_of_the_season_schedule(faults, days: int) -> None:
    told = {}
    for n in range(35):
        today = MONDAY + timedelta(days=n)
        inside = frame_svg(1, MONDAY - timedelta(weeks=3), days, today)
        told[str(today)] = faults(f'<svg viewBox="0 0 2200 140" width="2200">{inside}</svg>')
    assert {day: found for day, found in told.items() if found} == {}


def cold_cure(today: int) -> ChartData:
    """A pad poured in the cold: .3 of a curing day each day, a gap in its third, an end in the sixth week."""
    through = max(42, today + 5) + DAYS_AFTER
    days = tuple(n / 4 for n in range(4 * today))
    credit = 0.3 * today
    edge = Line("edge, top", days, tuple(38 + n % 4 for n in range(len(days))), air=False)
    return ChartData(
        poured_on=MONDAY, lines=(edge,),
        coldest="edge, top", gap_days=1.0, silences=((2.2, 3.1),), worths=(0.3,) * today,
        forecast_worths=(0.2,) * 5, total=credit, required_days=28, reached_on=None, today=today + 0.4,
        curve=tuple((float(n), 2500 * n / (n + 9)) for n in range(today + 1)),
        forecast_curve=tuple((float(n), 2500 * n / (n + 9)) for n in range(today, today + 6)),
        ages=tuple((float(n), 0.5 * n) for n in range(today + 1)), reference_f=73, band=(), required_psi=2500,
        notices=((min(7.0, today), 1240.0, True),), through=float(through),
    )  # fmt: skip


@pytest.mark.parametrize(
    "width_in", [8.0, 3.1, *(pytest.param(w, marks=pytest.mark.prove) for w in (7.5, 5.6))]
)
def test_the_cure_chart_from_the_first_day_to_the_fortieth(faults, width_in: float) -> None:
    told = {n: faults(cure_chart(cold_cure(n), width_in=width_in)) for n in range(1, 44, 3)}
    assert {day: found for day, found in told.items() if found} == {}
