"""Two people at one draft: nobody decides on figures that were not on the page, and nothing typed is lost."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from installs.foundation.models import FoundationDesign
from installs.jobs.models import Job
from installs.people.models import User
from installs.tower.models import TowerDesign
from tests.foundation.make_foundation import make_foundation, posted
from tests.make import alma, drawn_from, make_job, make_person
from tests.tower.make_tower import give_turbine, make_tower

pytestmark = pytest.mark.django_db
WORD = {"do": "accept", "check": "anchor-fatigue", "reason": "Few cycles, see sheet 9."}


@pytest.fixture
def engineer() -> User:
    return make_person("Rhoda Kell", "engineer")


@pytest.fixture
def shared(engineer: User) -> Job:
    job = make_job(engineer=engineer)
    make_foundation(job, side_ft=16.5)
    return job


def at_desk(person: User) -> Client:
    client = Client()
    client.force_login(person)
    return client


def page(job: Job) -> str:
    return reverse("foundation", args=[job.number])


def kept(job: Job) -> FoundationDesign:
    return FoundationDesign.objects.get(job=job)


def said(answer) -> str:
    return " ".join(answer.content.decode().split())


def change_meanwhile(job: Job, **figures: str) -> None:
    office = at_desk(alma())
    answer = office.post(
        page(job), {**posted(kept(job), do="keep", **figures), **drawn_from(office, page(job))}
    )
    assert answer.status_code == 302


def test_a_check_is_accepted_for_the_figures_that_the_engineer_saw(shared: Job, engineer: User) -> None:
    at_page = at_desk(engineer)
    read = drawn_from(at_page, page(shared))
    change_meanwhile(shared, side_ft="16.17")
    answer = at_page.post(page(shared), {**WORD, **read})
    assert answer.status_code == 409 and not shared.draft_acceptances.exists()
    assert "Not accepted: the draft has changed since this page was read" in said(answer)
    assert "<td>16.5</td><td>16.17</td>" in said(answer)
    assert 'value="Few cycles, see sheet 9."' in said(answer)
    assert "last kept by Alma Reyes" in said(answer)
    again = drawn_from(at_page, page(shared))
    assert at_page.post(page(shared), {**WORD, **again}).status_code == 302
    acceptance = shared.draft_acceptances.get()
    assert acceptance.inputs_sha256 == again["drawn_from"] != read["drawn_from"]


def test_a_draft_is_released_as_it_was_read_and_once(shared: Job, engineer: User) -> None:
    at_page, office = at_desk(engineer), at_desk(alma())
    read = drawn_from(office, page(shared))
    change_meanwhile(shared, side_ft="17")
    answer = office.post(page(shared), {"do": "release", **read})
    assert answer.status_code == 409 and not shared.revisions.exists()
    assert "Not released" in said(answer) and "<td>16.5</td><td>17</td>" in said(answer)
    read = drawn_from(at_page, page(shared))
    for check in ("anchor-fatigue",):
        assert at_page.post(page(shared), {**WORD, "check": check, **read}).status_code == 302
    assert office.post(page(shared), {"do": "release", **read}).status_code == 302
    second = at_page.post(page(shared), {"do": "release", **read})
    assert second.status_code == 422
    assert "The same as release A, which is in force: nothing to release." in said(second)
    assert shared.revisions.get().inputs["side_ft"] == 17.0


def test_what_two_people_type_at_once_is_kept_of_both(shared: Job) -> None:
    """The second finds both values, and the first's figure in the form where nobody touched it."""
    first, second = at_desk(alma()), at_desk(alma())
    read = drawn_from(second, page(shared))
    typed = posted(kept(shared), do="keep", frost_ft="5", **{"note-soil": "test pit"})
    change_meanwhile(shared, side_ft="16.17")
    answer = second.post(page(shared), {**typed, **read})
    assert answer.status_code == 409
    assert kept(shared).figures.side_ft == 16.17 and kept(shared).figures.frost_ft == 3.5
    form = answer.context["form"]
    assert form["frost_ft"].value() == "5" and 'value="test pit"' in said(answer)
    assert form["side_ft"].value() == "16.17"
    assert "<td>16.5</td><td>16.17</td><td>16.17</td>" in said(answer)
    now = {name: answer.context["schedule_page"][name] for name in ("drawn_from", "seen")}
    assert second.post(page(shared), {**typed, "side_ft": "16.17", **now}).status_code == 302
    assert (kept(shared).figures.side_ft, kept(shared).figures.frost_ft) == (16.17, 5.0)
    assert first.get(page(shared)).status_code == 200


def test_a_second_press_finds_the_draft_saved_and_writes_nothing_more(shared: Job) -> None:
    office = at_desk(alma())
    read = drawn_from(office, page(shared))
    typed = posted(kept(shared), do="keep", side_ft="18")
    assert [office.post(page(shared), {**typed, **read}).status_code for _ in range(2)] == [302, 302]
    assert shared.events.filter(verb="draft kept").count() == 1


@pytest.mark.parametrize("do", ["keep", "release", "accept", "confirm"])
def test_a_redraw_decides_nothing_whichever_button_was_pressed_before_it(
    shared: Job, engineer: User, do: str
) -> None:
    """htmx sends the button that has the focus with whatever it sends."""
    at_page, before = at_desk(engineer), shared.events.count()
    typed = posted(kept(shared), side_ft="18")
    data = {**typed, **WORD, **drawn_from(at_page, page(shared)), "do": do}
    answer = at_page.post(page(shared), data, headers={"HX-Request": "true"})
    assert answer.status_code == 200 and "18 ft" in said(answer)
    assert kept(shared).figures.side_ft == 16.5
    assert not shared.revisions.exists() and not shared.draft_acceptances.exists()
    assert shared.events.count() == before


def test_both_changed_the_same_figure_and_both_stand_there(shared: Job) -> None:
    second = at_desk(alma())
    read = drawn_from(second, page(shared))
    typed = posted(kept(shared), do="keep", side_ft="18")
    change_meanwhile(shared, side_ft="16.17")
    answer = second.post(page(shared), {**typed, **read})
    assert answer.status_code == 409
    assert "<td>16.5</td><td>16.17</td><td>18</td>" in said(answer)


def test_a_page_shown_again_with_a_fault_stays_the_page_that_was_read(shared: Job) -> None:
    second = at_desk(alma())
    read = drawn_from(second, page(shared))
    typed = posted(kept(shared), do="keep", bars="1")
    change_meanwhile(shared, side_ft="16.17")
    faulty = second.post(page(shared), {**typed, **read})
    assert faulty.status_code == 422
    assert faulty.context["schedule_page"] == read
    assert second.post(page(shared), {**typed, "bars": "24", **read}).status_code == 409


def test_what_another_part_gives_keeps_nobody_from_keeping_their_own(shared: Job, engineer: User) -> None:
    """But a decision stands on everything that was read."""
    give_turbine(shared)
    make_tower(shared)
    office, at_page = at_desk(alma()), at_desk(engineer)
    typed, read = posted(kept(shared), do="keep", frost_ft="5"), drawn_from(office, page(shared))
    TowerDesign.objects.get(job=shared).change(moment_kip_ft=333.0).save()
    answer = at_page.post(page(shared), {**WORD, **read})
    assert answer.status_code == 409 and "333" in said(answer)
    assert office.post(page(shared), {**typed, **read}).status_code == 302
    assert kept(shared).figures.frost_ft == 5.0


@pytest.mark.parametrize("do", ["keep", "release", "accept"])
@pytest.mark.parametrize("read", [{}, {"drawn_from": "0" * 64, "seen": "x"}, {"seen": "eJwDAAAAAAE="}])
def test_a_page_that_does_not_say_what_it_was_drawn_from_decides_nothing(
    shared: Job, engineer: User, do: str, read: dict[str, str]
) -> None:
    draft = kept(shared)
    plain = {name: text for name, text in posted(draft).items() if name not in ("drawn_from", "seen")}
    answer = at_desk(engineer).post(page(shared), {**plain, **WORD, **read, "do": do})
    assert answer.status_code == 409
    assert "does not say from which figures it was drawn" in said(answer)
    assert not shared.revisions.exists() and not shared.draft_acceptances.exists()
    assert not shared.events.filter(verb="draft kept").exists()


def test_two_who_begin_a_part_at_once_make_one_draft(engineer: User) -> None:
    job = make_job()
    first, second = at_desk(alma()), at_desk(alma())
    read = drawn_from(first, page(job))
    typed = posted(FoundationDesign(job=job), do="keep", side_ft="16.17")
    assert first.post(page(job), {**typed, **read}).status_code == 302
    other = posted(FoundationDesign(job=job), do="keep", side_ft="18")
    assert second.post(page(job), {**other, **read}).status_code == 409
    assert kept(job).figures.side_ft == 16.17
