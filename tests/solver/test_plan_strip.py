"""A tentative plan as a strip: whatever the plan says can be read off it, and is said in words beside it.

Common practice, no source.
"""

from __future__ import annotations

import re
from datetime import timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crew.solver.plan_strip import Day, JobRow, plan_strip, said
from installs.drafting.letters import text_width
from tests.crew.season import Season
from tests.solver.seasons import MONDAY, day
from tests.solver.test_pages import asked, made, repaired, season, text

assert season  # the fixture
OVER = (MONDAY, day(60))


def lift(on: int, job: str = "2031-001", **fields) -> Day:
    known = {"job": job, "phase": "tower lift", "on": day(on), "crew": "Tower crew", "crane": "Crane T-7"}
    return Day(**{**known, **fields})


def test_a_promised_date_is_a_limit_and_is_said_to_be_kept_or_late():
    for late, words in ((0, "kept"), (1, "1 day late"), (4, "4 days late"), (None, "not planned")):
        job = JobRow(number="2031-001", promised=day(10), late=late)
        svg = plan_strip([job], [lift(3)], MONDAY, "Plan", OVER).svg
        assert f"promised Mar 13, {words}" in svg and 'stroke-dasharray="10 4"' in svg


def test_what_moves_is_struck_where_it_stands_and_named_in_the_margin():
    days = [lift(3, moved_from=day(1)), Day(job="2031-001", phase="pour", on=day(0), moved_from=day(2))]
    svg = plan_strip([JobRow(number="2031-001")], days, MONDAY, "Plan", OVER).svg
    assert "Tower lift Mar 4 to Mar 6, 1 more" in re.sub(r"</text>.*?<text[^>]*>", " ", svg)
    still = plan_strip([JobRow(number="2031-001")], [lift(3)], MONDAY, "Plan", OVER).svg
    assert "Tower lift Mar" not in still


def test_every_crane_and_crew_has_a_row_with_its_days():
    """Two cranes, one crew: a block a day of work; a day kept free is told beside them."""
    days = [lift(1), lift(2, weather=True), lift(8, "2031-002", crane="Crane T-9")]
    jobs = [JobRow(number="2031-001"), JobRow(number="2031-002")]
    svg = plan_strip(jobs, days, MONDAY, "Plan", OVER).svg
    assert svg.count(">Crane T-7<") == svg.count(">Crane T-9<") == svg.count(">Tower crew<") == 1
    assert "1 days, 1 kept free" not in svg and "1 day, 1 kept free" in svg and "2 days, 1 kept free" in svg


def test_the_words_say_what_the_strip_shows():
    days = [lift(1, moved_from=day(0)), lift(2, weather=True), lift(8, "2031-002")]
    jobs = [
        JobRow(number="2031-001", promised=day(4), late=0),
        JobRow(number="2031-002", promised=day(5), late=3),
        JobRow(number="2031-003", promised=day(5)),
    ]
    assert said(jobs, days) == (
        "Tue Mar 4 to Tue Mar 11: 2 crew days, 3 crane days, 1 day moves, "
        "1 of 3 promised dates kept, 1 without an end."
    )


def test_no_two_words_of_a_level_of_a_crews_row_overlap():
    """Jobs on every day: numbers that find no room are left out, and those drawn keep apart."""
    days = [lift(n, f"2031-{n:03}") for n in range(40)]
    jobs = [JobRow(number=f"2031-{n:03}") for n in range(40)]
    svg = plan_strip(jobs, days, MONDAY, "Plan", OVER).svg
    levels: dict[str, list[tuple[float, str]]] = {}
    for x, y, words in re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>(\d{3})<', svg):
        levels.setdefault(y, []).append((float(x), words))
    assert levels
    for row in levels.values():
        ends = 0.0
        for x, words in sorted(row):
            assert x >= ends
            ends = x + text_width(words, 12.0)


def test_the_page_shows_what_stands_and_this_plan_over_the_same_days(client, season: Season):
    job = season.job()
    found = season.whole(job)
    to = found["pour"].on + timedelta(days=3)
    plan = repaired(client, why="no concrete", job=str(job.pk), phase="pour", not_before=to.isoformat())
    html = client.get(reverse("tentative-plan", args=[plan.pk])).content.decode()
    strips = re.findall(r'<div class="strip-frame".*?</svg>', html, re.DOTALL)
    assert len(strips) == 2
    widths = {re.search(r'<svg[^>]* width="([\d.]+)"', each).group(1) for each in strips}
    assert len(widths) == 1
    assert ("What stands" in html and "day moves" in text_of(html)) or "days move" in text_of(html)


def test_a_first_plan_is_one_strip(client, season: Season):
    season.job()
    plan = made(asked(client, season))
    page = client.get(reverse("tentative-plan", args=[plan.pk]))
    assert page.content.decode().count('class="strip-frame"') == 1
    assert "no date promised" in text(page)


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_another_plan_of_the_same_jobs_is_set_beside_it_and_no_plan_of_others(client, season: Season):
    job = season.job()
    first = made(asked(client, season))
    second = made(asked(client, season, free="0"))
    page = reverse("tentative-plan", args=[second.pk])
    html = client.get(f"{page}?beside={first.pk}").content.decode()
    assert html.count('class="strip-frame"') == 2
    assert f">Tentative plan {first.pk}</th>" in html and f'href="?beside={first.pk}"' in html
    other = season.job(number="2031-077")
    third = made(asked(client, season, jobs=[str(other.pk)]))
    html = client.get(reverse("tentative-plan", args=[third.pk]) + f"?beside={first.pk}").content.decode()
    assert html.count('class="strip-frame"') == 1 and "?beside=" not in html
    assert job != other


def test_the_page_of_a_plan_asks_few_questions(client, season: Season):
    season.job()
    plan = made(asked(client, season))
    with CaptureQueriesContext(connection) as asked_of:
        client.get(reverse("tentative-plan", args=[plan.pk]))
    assert len(asked_of) <= 40
