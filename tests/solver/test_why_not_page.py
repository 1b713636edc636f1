"""Where there is no plan, or a promised date cannot be held, the page says what conflicts.

Common practice, no source.
"""

from __future__ import annotations

from datetime import date

from django.urls import reverse

from crew.plan.models import CrewDay
from crew.solver.models import PromisedDate
from installs.people.models import Certificate
from installs.work.runner import work_one
from tests.crew.season import Season
from tests.make import as_drawn
from tests.solver.test_pages import asked, made, season, text

assert season  # the fixture


def test_a_promise_that_cannot_be_held_is_told_with_what_stands_against_it(client, season: Season):
    job = season.job()
    PromisedDate.objects.create(job=job, on=season.on(14), made_at=job.created_at, made_by=season.office)
    plan = made(asked(client, season))
    page = text(client.get(reverse("tentative-plan", args=[plan.pk])))
    assert "Why not" in page and f"{job.number} is promised for" in page
    assert "curing days" in page or "is not cured before" in page
    assert "A later promise: " in page and "What would mend it" in page
    held = next(s for s in plan.told["why_not"][0]["demands"] if s["kind"] == "promise")
    ends = date.fromisoformat(plan.told["jobs"][0]["ends"])
    assert ends > season.on(14) and "is the first day that can be held" in held["mend"]


def test_where_nobody_holds_a_card_there_is_no_plan_and_the_page_says_why(client, season: Season):
    season.job()
    Certificate.objects.filter(kind="climber").update(archived_on=season.monday)
    plan = asked(client, season)
    assert work_one("plans")
    plan.refresh_from_db()
    assert plan.is_impossible and not plan.is_made
    page = text(client.get(reverse("tentative-plan", args=[plan.pk])))
    assert "There is no plan of these jobs." in page and "Climber: somebody with a certificate" in page
    assert "A card renewed, or a person more who holds one." in page and "Issue it" not in page
    again = reverse("tentative-again", args=[plan.pk])
    data = as_drawn(client, reverse("tentative-plan", args=[plan.pk]), again)
    action = reverse("tentative-put-down", args=[plan.pk])
    assert client.post(action, data | {"do": "put"}).status_code in (409, 422)
    assert not CrewDay.objects.exists()
