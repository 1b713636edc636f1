"""The season schedule from any date, and the crew days by week and by what is asked for."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crew.days.planned import grouped
from crew.morning.season import window
from crew.morning.strip import GateMark, Scale, Span, StripRow, strip_svg
from crew.plan.clashes import Clash
from installs.drafting.letters import text_width
from installs.jobs.kept import Kept
from tests.crew.season import Season, form_at
from tests.crew.test_morning import texts

FIRST = date(2031, 4, 28)


def at(days: int) -> date:
    return FIRST + timedelta(days=days)


def words(row: StripRow, days: int = 70) -> list[str]:
    return [t.text or "" for t in texts(strip_svg([row], FIRST, days, FIRST))]


def test_what_lies_beyond_the_edges_is_said_and_not_drawn_on_them():
    spans = (
        Span("hook", at(80), at(80), "tower lift"),
        Span("hook", at(90), at(90), "turbine lift"),
        Span("excavation", at(-9), at(-8), "dig and rebar"),
    )
    gates = (GateMark(at(80), "IT Jul 17"),)
    said = words(StripRow("2031-001", "Owner", spans, gates))
    assert "later: tower lift Jul 17, 1 more" in said
    assert "earlier: dig and rebar Apr 19" in said
    assert "tower lift" not in said and "IT Jul 17" not in said


def test_a_paper_that_was_asked_for_before_the_first_day_is_waited_for_in_sight():
    asked, promised = FIRST - timedelta(days=4), FIRST + timedelta(days=18)
    waited = StripRow("2031-004", "Owner", (Span("paper", asked, promised, "building permit"),))
    had = StripRow(
        "2031-005", "Owner", (Span("paper", asked, FIRST - timedelta(days=1), "locate", in_hand=True),)
    )
    assert "building permit" in words(waited)
    assert "locate" not in words(had)


@pytest.mark.parametrize("days", [70, 182, 273])
def test_no_label_runs_over_the_right_edge(days):
    edge = Scale(FIRST, days).right
    spans = (Span("commissioning", at(days - 1), at(days - 1), "commission the turbine"),)
    svg = strip_svg([StripRow("2031-001", "Owner", spans)], FIRST, days, FIRST)
    (label,) = [t for t in texts(svg) if t.text == "commission the turbine"]
    assert float(label.get("x")) + text_width(label.text, 12) <= edge + 0.01


def test_the_window_begins_on_a_monday_and_what_cannot_be_read_is_the_usual():
    assert window(date(2031, 5, 21), date(2031, 7, 3), "9 months").first == date(2031, 6, 30)
    assert window(date(2031, 5, 21), None, "a century").days == 70


@pytest.fixture
def season(client, db) -> Season:
    found = Season()
    client.force_login(found.office)
    return found


def shown(page: str) -> list[str]:
    return re.findall(r'<tr id="day-([1-9]\d*)"', page)


def test_days_stand_under_their_week_and_a_filter_leaves_the_others_out(client, season):
    job, other = season.job(), season.job()
    days, more = season.whole(job), season.day(other, "pour", 2, season.tower)
    page = client.get("/crew-days/").content.decode()
    assert len(shown(page)) == 10 and page.count('class="week"') == 3
    for asked, expected in (
        ({"of_job": other.pk}, [more]),
        ({"of_phase": "pour", "of_crew": season.pad.pk}, [days["pour"]]),
        ({"of_person": season.gus.pk}, []),
        ({"first": season.on(38).isoformat()}, [days["commissioning"]]),
    ):
        page = client.get("/crew-days/", asked).content.decode()
        assert shown(page) == [str(day.pk) for day in expected], asked
        name, value = next(iter(asked.items()))
        assert f"{name}={value}" in page  # what renews itself asks for the same


def test_what_cannot_be_read_of_a_filter_is_said_at_its_field_and_leaves_nothing_out(client, season):
    season.whole(season.job())
    answer = client.get("/crew-days/", {"first": "soon", "of_job": "9" * 30})
    assert answer.context["wanted"].errors.keys() == {"first", "of_job"}
    assert len(shown(answer.content.decode())) == 9


def test_after_an_add_job_crew_and_phase_stand_in_the_form(client, season):
    job = season.job()
    answer = client.post(
        "/crew-days/",
        {"job": job.pk, "phase": "pour", "on": season.on(2), "crew": season.pad.pk, "kind": "work"},
    )
    again = form_at(client.get(answer.url).content.decode(), "/crew-days/").filled()
    assert [again[name] for name in ("job", "phase", "crew")] == [
        [str(job.pk)],
        ["pour"],
        [str(season.pad.pk)],
    ]


def test_the_strip_has_the_order_of_the_table(client, season):
    jobs = [season.job() for _ in range(4)]
    for n, job in enumerate(reversed(jobs)):
        season.day(job, "survey", n)
    page = client.get("/look-ahead/").content.decode()
    assert re.findall(r'id="job-(\d+)"', page) == re.findall(r'id="strip-([1-9]\d*)"', page)
    assert re.findall(r'id="job-(\d+)"', page) == [str(job.pk) for job in reversed(jobs)]


@pytest.mark.parametrize("path", ["/look-ahead/", "/crew-days/", "/crew-days/wall/", "/crew-days/days.csv"])
def test_nine_months_cost_no_more_queries_for_more_jobs(client, season, path):
    def queries() -> int:
        client.get(path, {"over": "9 months"})
        Kept.forget()
        with CaptureQueriesContext(connection) as found:
            client.get(path, {"over": "9 months"})
        return len(found)

    season.whole(season.job())
    few = queries()
    for _ in range(4):
        season.whole(season.job())
    assert queries() == few


def test_conflicts_are_grouped_by_job_and_one_that_is_true_of_several_days_is_said_once():
    one = [Clash((n,), ("2031-002",), at(n), "no crane is named for this lift") for n in (2, 1)]
    both = Clash((7, 8), ("2031-001", "2031-002"), at(0), "Ben is on 2031-001 and 2031-002 the same day")
    groups = grouped([*one, both, Clash((), (), at(5), "the crane is booked, and no lift is planned")])
    assert [(g.title, g.count) for g in groups] == [
        ("On two jobs at once", 1),
        ("2031-002", 2),
        ("Cranes", 1),
    ]
    (line,) = groups[1].lines
    assert line.dates == "Tue Apr 29, Wed Apr 30"
