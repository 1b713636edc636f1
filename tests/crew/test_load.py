"""Crew days by week against the crews there are. Five days a week: common practice, no source."""

from __future__ import annotations

import re
from collections import Counter
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from crew.morning.load import Week, load_svg, weeks_of
from crew.plan.models import Crew, CrewDay
from crew.plan.services import add_day, strike_day
from installs.jobs.services import add_member
from tests.drafting.drawn_plot import Reading
from tests.make import AT, alma, make_job, make_person

MONDAY = date(2031, 5, 5)
counts = st.builds(
    Week,
    monday=st.just(MONDAY),
    in_force=st.integers(0, 14),
    tentative=st.integers(0, 6),
    weather=st.integers(0, 3),
    crews=st.integers(0, 4),
)


def day(on: date, *, crew: int = 1, job: int = 1, struck: bool = False, **more) -> CrewDay:
    planned = {"plan_id": None, "kind": "work", **more}
    return CrewDay(crew_id=crew, job_id=job, on=on, struck_at=AT if struck else None, **planned)


def test_a_crew_on_a_job_on_a_date_is_one_day_by_its_firmest_plan() -> None:
    days = [
        day(MONDAY, plan_id=1),
        day(MONDAY),  # other work of the same crew on the same job that day
        day(MONDAY, job=2),  # on two jobs at once it is planned twice
        day(MONDAY + timedelta(days=6), crew=2, kind="weather"),
        day(MONDAY + timedelta(days=7)),
        day(MONDAY + timedelta(days=8), struck=True),
        day(MONDAY - timedelta(days=1)),
        day(MONDAY + timedelta(days=14)),
    ]
    first, second = weeks_of(days, [None, MONDAY + timedelta(days=7)], MONDAY, 2)
    assert (first.in_force, first.tentative, first.weather, first.crews) == (1, 1, 1, 2)
    assert (second.taken, second.tentative, second.crews, second.there_are) == (1, 1, 1, 5)


PLANNED = st.tuples(st.integers(0, 20), st.integers(1, 3), st.integers(1, 3), st.booleans())


@given(st.lists(PLANNED, max_size=40))
def test_no_day_is_lost_and_none_counts_twice(planned) -> None:
    days = [day(MONDAY + timedelta(days=n), crew=c, job=job, struck=struck) for n, c, job, struck in planned]
    weeks = weeks_of(days, [None], MONDAY, 3)
    by_hand = Counter(n // 7 for n, *_ in {(n, crew, job) for n, crew, job, struck in planned if not struck})
    assert [week.taken for week in weeks] == [by_hand[n] for n in range(3)]


@given(st.lists(counts, min_size=1, max_size=39), st.booleans())
def test_a_bar_is_as_high_as_its_days_and_ringed_where_the_crews_cannot(found, narrow) -> None:
    weeks = [Week(**{**vars(week), "monday": MONDAY + timedelta(days=7 * n)}) for n, week in enumerate(found)]
    chart = Reading(load_svg(weeks, MONDAY, narrow=narrow))
    tops = [max(level for _, level in bar) for bar in chart.lines("load")]
    by_hand = []
    for week in weeks:
        parts = (week.in_force, week.tentative, week.weather)
        by_hand += [sum(parts[: n + 1]) for n in range(3) if parts[n]]
    assert tops == pytest.approx(by_hand, abs=0.2)
    ringed = 'class="layer-ring"' in load_svg(weeks, MONDAY, narrow=narrow)
    over = sum(week.taken > 5 * week.crews for week in weeks)
    assert ringed == bool(over)
    assert f"{over or 'no'} week" in chart.told and weeks[-1].words in chart.told


def test_a_week_behind_is_not_ringed() -> None:
    weeks = [Week(monday=MONDAY, in_force=9, crews=1)]
    assert "layer-ring" in load_svg(weeks, MONDAY + timedelta(days=6))
    assert "layer-ring" not in load_svg(weeks, MONDAY + timedelta(days=7))


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["look-ahead", "crew-days"])
def test_the_pages_draw_it_and_send_it_again_when_it_is_another(client, name) -> None:
    office = alma()
    client.force_login(office)
    job, crew = (
        make_job(by=office, at=timezone.now()),
        Crew.objects.create(name="Pad crew", foreman=make_person()),
    )
    page = client.get(reverse(name)).content.decode()
    assert page.count('aria-label="Crew days by week: no weeks') == 2
    asks = re.search(r'id="live"[^>]* hx-get="([^"]+)"', page)[1].replace("&amp;", "&")
    shown = ".".join(f"{k}_{d}" for k, d in re.findall(r'id="([a-z]+-[0-9]+)" data-row="([0-9a-f]+)"', page))
    on = job.local(timezone.now()).date() + timedelta(days=1)
    planned = add_day(job, "survey", on, crew, by=office, at=timezone.now())
    answer = client.get(asks, {"rows": shown}).content.decode()
    assert 'id="load-0"' in answer and " 1 of 5" in answer
    strike_day(planned, "rain", by=office, at=timezone.now())
    answer = client.get(asks, {"rows": shown}).content.decode()
    assert 'id="load-0"' not in answer  # as the page shows it


@pytest.mark.django_db
def test_who_sees_some_jobs_only_is_shown_no_load_of_the_crews(client) -> None:
    foreman = make_person("Ben Osgood", "foreman")
    add_member(make_job(), foreman, by=alma(), at=AT)
    client.force_login(foreman)
    assert "load-0" not in client.get(reverse("look-ahead")).content.decode()
