"""The cure chart draws what a pen can draw, and loses no extreme and no gap; the days come in parts."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from django.urls import reverse

from installs.pour.chart_data import MOST_COLUMNS, _line
from installs.pour.views import MOST_DAYS
from sitecalc.pour.readings import Trace
from tests.pour.conftest import POUR

BEGIN = datetime(2031, 4, 24, tzinfo=UTC)


def trace(days: np.ndarray, temps: np.ndarray) -> Trace:
    return Trace("edge", BEGIN.timestamp() + days * 86400, temps, False)


def test_a_hundred_thousand_readings_keep_their_extremes_and_where_they_stood():
    days = np.linspace(0.0, 30.0, 100_000)
    temps = 60 + 5 * np.sin(days)
    temps[41_234], temps[70_001] = 3.0, 151.0
    line = _line(trace(days, temps), BEGIN, 1.0, 33.0)
    assert len(line.days) <= 4 * MOST_COLUMNS + 4
    told = dict(zip(line.temps_f, line.days, strict=True))
    assert told[3.0] == pytest.approx(days[41_234]) and told[151.0] == pytest.approx(days[70_001])
    assert (line.days[0], line.days[-1]) == pytest.approx((0.0, 30.0))
    widest = max(b - a for a, b in zip(line.days, line.days[1:], strict=False))
    assert widest <= 33.0 / MOST_COLUMNS + 30.0 / 100_000


def test_a_few_readings_are_drawn_one_by_one():
    days = np.arange(0.0, 20.0, 0.25)
    line = _line(trace(days, 50 + days), BEGIN, 1.0, 23.0)
    assert line.days == pytest.approx(tuple(days)) and line.temps_f == pytest.approx(tuple(50 + days))


def test_a_gap_breaks_the_line_once_where_it_is():
    days = np.concatenate([np.linspace(0, 10, 50_000), np.linspace(12.5, 20, 50_000)])
    line = _line(trace(days, np.full(100_000, 55.0)), BEGIN, 2.0, 23.0)
    broken = [n for n, t in enumerate(line.temps_f) if t is None]
    assert len(broken) == 1
    assert line.days[broken[0] - 1] == pytest.approx(10.0) and line.days[broken[0]] == pytest.approx(12.5)


@pytest.mark.django_db
def test_each_day_of_a_long_cure_log_stands_on_one_of_its_parts(client, poured, office, monkeypatch):
    now = POUR + timedelta(days=2 * MOST_DAYS + 5)
    monkeypatch.setattr("installs.pour.views.timezone.now", lambda: now)
    client.force_login(office)
    url = reverse("pour", args=[poured.number])
    pages = [client.get(url, {"days": n}) for n in (1, 2, 3)]
    days = [[day.day for day, _sum in page.context["days"]] for page in pages]
    assert max(map(len, days)) == MOST_DAYS
    whole = [day.day for day in pages[0].context["record"].cure.log.days]
    assert [day for part in days for day in part] == whole
    assert [day.day for day, _ in client.get(url).context["days"]] == days[-1]  # the newest, while it cures
    assert client.get(url, {"days": "nonsense"}).status_code == 200
