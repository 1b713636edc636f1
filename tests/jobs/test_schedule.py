"""The schedule of a design page: what is folded, how a line is laid out; days of a release in words."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from installs.foundation.forms import FoundationForm
from installs.jobs.figures import figures_of
from installs.lift.forms import LiftForm
from tests.foundation.make_foundation import make_foundation
from tests.lift.kit import make_kit

pytestmark = pytest.mark.django_db


def folded(html: str) -> dict[str, bool]:
    """By heading, whether its group is folded."""
    groups = re.findall(r'<details class="group"([^>]*)>\s*<summary>\s*<h3 class="further">([^<]+)', html)
    return {heading: "open" not in attributes for attributes, heading in groups}


def test_a_group_is_folded_until_a_fault_stands_in_it(at_the_desk, job) -> None:
    draft = make_foundation(job)
    url = reverse("foundation", args=[job.number])
    assert set(folded(at_the_desk.get(url).content.decode()).values()) == {True}
    typed = {k: v for k, v in FoundationForm(instance=draft).initial.items() if v is not None}
    page = at_the_desk.post(url, {**typed, "do": "look", "projection_in": "-4"})
    shown = folded(page.content.decode())
    assert page.status_code == 422 and not shown["Anchor bolts"] and shown["Code"]


def test_the_chart_that_is_chosen_is_read_whole_under_its_list() -> None:
    """A browser cuts the words of a list: a page of a load chart is known by its last ones."""
    kit = make_kit()
    kit.lift.chart.configuration = "outriggers full out, 11,000 lb counterweight, 360 degrees"
    kit.lift.chart.save()
    form = LiftForm(instance=kit.lift)
    line = next(each for each in form.schedule() if each.field.name == "chart")
    assert line.chosen_words.endswith(str(kit.lift.chart)) and len(line.chosen_words) > 34
    hitch = next(each for each in form.schedule() if each.field.name == "near_hitch")
    assert hitch.chosen_words == ""


def test_what_must_be_given_and_is_not_keeps_its_group_open(job) -> None:
    form = FoundationForm(instance=make_foundation(job))
    group = next(g for g in form.groups() if g.heading == "Anchor bolts")
    assert group.folded and "figures" in group.counted
    needed = next(line for line in group.lines if line.field.field.required)
    empty = FoundationForm(instance=form.instance, initial={needed.field.name: None})
    assert not next(g for g in empty.groups() if g.heading == "Anchor bolts").folded


def test_a_choice_that_its_column_would_cut_has_its_own_line() -> None:
    kit = make_kit()
    laid = {line.field.name: line.laid_out for line in LiftForm(instance=kit.lift).schedule()}
    assert laid["chart"] == laid["near_sling"] == "chosen"
    assert laid["radius_ft"] == laid["near_hitch"] == ""
    assert laid["lift_on"] == laid["lift_at"] == "dated" and laid["corners"] == "long"


def test_days_and_hours_of_a_release_are_printed_in_words() -> None:
    kit = make_kit()
    values = {line["name"]: line.get("value") for line in figures_of("tower lift", kit.release().inputs)}
    assert values["lift_on"] == "Thu May 29, 2031" and values["weather_day"] == "Mon Jun 2, 2031"
    assert not [v for v in values.values() if re.search(r"\d{4}-\d\d-\d\d|\d\d:\d\d:\d\d", str(v))]


def test_no_page_and_no_paper_prints_a_unit_without_its_sign(client) -> None:
    """A source says its numbers as everything else does: ft²/lb, yd³."""
    kit = make_kit()
    kit.release()
    client.force_login(kit.office)
    page = re.sub(r"<[^>]+>", " ", client.get(f"/jobs/{kit.job.number}/lift/").content.decode())
    assert "0.0059 ft²/lb" in page and not re.search(r"\b(ft|yd|in|m)[23]\b", page)
