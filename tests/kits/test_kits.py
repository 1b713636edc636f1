"""A kit brings drafts along with their sources, releases nothing, and passes no figure of another site."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.jobs.sealing import chain_faults
from installs.kits.models import Kit, SiteQuestion
from installs.kits.services import asked_of_kit, may_be_kept, open_questions, save_kit, take_kit
from installs.people.firm_log import firm_log_faults
from installs.people.models import FirmEvent
from sitecalc.figures import declared
from tests.jobs.test_standing import Season, release
from tests.make import as_drawn, make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def first() -> Season:
    made = Season()
    for part in ("turbine", "site", "tower", "foundation", "ground_station"):
        made.release(part)
    return made


@pytest.fixture
def kit(first: Season) -> Kit:
    return save_kit(first.job, "100 ft", "", may_be_kept(first.job), by=first.cast["alma"], at=first.now)


@pytest.fixture
def second(first: Season, kit: Kit) -> Job:
    job = make_job(by=first.cast["alma"], engineer=first.cast["lindqvist"])
    take_kit(kit, job, by=first.cast["alma"], at=first.now)
    return job


def test_what_is_of_the_site_is_empty_or_asked_and_everything_else_comes_along(
    first: Season, second: Job
) -> None:
    asked = set(SiteQuestion.objects.filter(table="").values_list("part", "figure"))
    for part in ("turbine", "tower", "foundation", "ground_station"):
        mine, theirs = TABLE[part].draft_of(second), TABLE[part].draft_of(first.job)
        assert mine.pk is not None
        for figure in declared(type(mine).FIGURES):
            if figure.is_row:
                assert getattr(mine, f"{figure.name}_id") == getattr(theirs, f"{figure.name}_id")
                continue
            got, given = mine.value.get(figure.name), theirs.value.get(figure.name)
            if not figure.is_of_site:
                assert got == given, (part, figure.name)
            elif (part, figure.name) in asked:
                assert got == given
            else:
                assert got in (None, "", [], "not known") or got is False, (part, figure.name, got)
    assert TABLE["site"].draft_of(second).pk is None
    assert not second.revisions.exists() and not second.draft_acceptances.exists()


def test_soil_water_and_frost_of_another_lot_pass_nothing_here(second: Job) -> None:
    """ "Unknown never passes": the checks that hang on them are open again."""
    draft = TABLE["foundation"].draft_of(second)
    open_keys = {c.key: c.verdict.value for c in TABLE["foundation"].review(draft).checks if c.needs_answer}
    assert {"bearing", "frost"} & set(open_keys) or len(open_keys) >= 3, open_keys


def test_a_source_stays_beside_its_figure_and_names_the_kit(first: Season, kit: Kit) -> None:
    draft = first.draft("tower")
    draft.notes = {"moment_kip_ft": "maker's sheet 7"}
    draft.save()
    first.release("tower")
    for part in ("foundation", "ground_station"):
        first.release(part)
    again = save_kit(first.job, "second", "", may_be_kept(first.job), by=first.cast["alma"], at=first.now)
    job = make_job(by=first.cast["alma"])
    take_kit(again, job, by=first.cast["alma"], at=first.now)
    said = TABLE["tower"].draft_of(job).notes["moment_kip_ft"]
    assert said == "maker's sheet 7 (kit second, tower B)"


def test_nothing_is_released_while_a_figure_of_the_kit_stands_unconfirmed(first: Season, second: Job) -> None:
    [length] = [
        q for q in open_questions(second) if q.table == "runs" and "Inverter to panel, length" in q.words
    ]
    for part in ("turbine", "tower"):
        draft = TABLE[part].draft_of(second)
        SiteQuestion.objects.filter(part=part).update(confirmed_at=first.now)
        release(draft, part, first.cast["alma"], first.cast["lindqvist"], first.now)
    draft = TABLE["ground_station"].draft_of(Job.objects.get(pk=second.pk))
    with pytest.raises(
        ValidationError, match=r"Not confirmed for this site: .*Inverter to panel, length one way"
    ):
        release(draft, "ground_station", first.cast["alma"], first.cast["lindqvist"], first.now)
    # typed anew it has been looked at
    runs = [{**row, "length_ft": row["length_ft"] + 5} for row in draft.value["runs"]]
    draft.change(runs=runs).save()
    assert length not in open_questions(second)
    client = Client()
    client.force_login(first.cast["alma"])
    page = reverse("kit-questions", args=[second.number])
    sent = {"questions": [q.pk for q in open_questions(second)]}
    answer = client.post(page, {**as_drawn(client, page), **sent})
    assert answer.status_code == 302 and open_questions(second) == []
    draft = TABLE["ground_station"].draft_of(Job.objects.get(pk=second.pk))
    assert asked_of_kit(second, "ground_station", draft.inputs()) == []
    assert (
        release(draft, "ground_station", first.cast["alma"], first.cast["lindqvist"], first.now).letter == "A"
    )
    line = second.events.filter(verb="kit confirmed").get()
    assert line.by == first.cast["alma"] and chain_faults(second) == []


def test_a_page_of_questions_that_is_old_confirms_nothing(first: Season, second: Job) -> None:
    client = Client()
    client.force_login(first.cast["alma"])
    page = reverse("kit-questions", args=[second.number])
    sent = {**as_drawn(client, page), "questions": [q.pk for q in open_questions(second)]}
    draft = TABLE["ground_station"].draft_of(second)
    draft.change(service_ft=99.0).save()
    assert client.post(page, sent).status_code == 409
    assert not SiteQuestion.objects.exclude(confirmed_at=None).exists()


def test_a_kit_writes_over_nothing_that_was_typed(first: Season, kit: Kit) -> None:
    job = make_job(by=first.cast["alma"])
    draft = TABLE["tower"].draft_of(job)
    draft.save()
    with pytest.raises(ValidationError, match="has drafts already: tower"):
        take_kit(kit, job, by=first.cast["alma"], at=first.now)
    assert TABLE["turbine"].draft_of(job).pk is None


def test_a_kit_is_taken_once_and_an_archived_one_never(first: Season, kit: Kit, second: Job) -> None:
    with pytest.raises(ValidationError, match="began with a kit already"):
        take_kit(kit, second, by=first.cast["alma"], at=first.now)
    Kit.objects.update(archived_on=first.now.date())
    kit.refresh_from_db()
    with pytest.raises(ValidationError, match="archived"):
        take_kit(kit, make_job(by=first.cast["alma"]), by=first.cast["alma"], at=first.now)


def test_a_release_that_no_longer_stands_goes_into_no_kit(first: Season) -> None:
    first.change("tower", moment_kip_ft=600.0)
    first.release("tower")
    assert "foundation" not in [r.part for r in may_be_kept(first.job)]
    foundation = first.job.revisions.newest("foundation")
    with pytest.raises(ValidationError):
        save_kit(first.job, "void", "", [foundation], by=first.cast["alma"], at=first.now)


def test_kits_and_rows_stand_in_both_logs(first: Season, kit: Kit) -> None:
    assert first.job.events.filter(verb="kit saved").count() == 1
    assert FirmEvent.objects.filter(verb="kit added").count() == 1
    assert firm_log_faults(FirmEvent.objects.order_by("sequence")) == []
