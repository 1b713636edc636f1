"""The picture of each of many jobs, from the record: releases in force, else drafts; in a constant number of
queries."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from string import ascii_lowercase
from typing import Any

from django.urls import reverse

from installs.drafting import to_svg
from installs.gates.facts import load_facts
from installs.gates.job_facts import JobFacts
from installs.gates.planned import ENDS
from installs.jobs.drafts import Draft, released_figures
from installs.jobs.getters import open_deviations
from installs.jobs.kept import Kept, job_versions, version
from installs.jobs.models import DesignRevision, Job
from installs.jobs.parts import TABLE
from installs.jobs.reading import one_reading
from installs.jobs.standing import footings
from installs.picture.drawing import job_picture
from installs.picture.scene import Scene, State, scene_of
from installs.picture.sheet import CARD, PHONE, SHEET, THUMB, Form
from installs.picture.states import NextStep, PartState, next_step, part_states
from installs.picture.words import described, figure_words, listed, off_words
from sitecalc.inputs import InputError

log = logging.getLogger(__name__)

# in the order in which they are begun: an empty picture waits for the first
DRAWN = ("turbine", "tower", "site", "foundation", "ground_station")


@dataclass(frozen=True, kw_only=True)
class Line:
    """What the list beside the picture says of one part. ``number`` is its balloon in the phone's picture."""

    number: int
    title: str
    figure: str
    state: PartState


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A job's picture: what it shows, how far that is, and what comes next."""

    number: str
    scene: Scene
    states: Mapping[str, PartState]
    step: NextStep
    letters: Mapping[str, str]  # of the releases in force, by part
    first: str = ""  # the part that an empty one begins with, by its key

    @property
    def title(self) -> str:
        return f"{self.number}, side view"

    @property
    def first_words(self) -> str:
        return f"First: {TABLE[self.first].title.lower()}." if self.first else ""

    @property
    def first_page(self) -> str:
        return reverse(TABLE[self.first].page, args=[self.number]) if self.first else ""

    @cached_property
    def lines(self) -> list[Line]:
        return [
            Line(
                number=place,
                title=self.states[key].title,
                figure=figure_words(self.scene, key) or "not drawn",
                state=self.states[key],
            )
            for place, key in enumerate(listed(self.scene, self.states), start=1)
        ]

    @property
    def beside(self) -> list[str]:
        """What stands there already and is none of our parts."""
        inside = [thing for thing in self.scene.buildings if not thing.has_station]
        return [f"{thing.name}, {off_words(thing)}" for thing in inside]

    @property
    def unknown(self) -> list[str]:
        return [state.title.lower() for state in self.states.values() if state.state is State.NOTHING]

    @cached_property
    def said(self) -> str:
        """The picture in sentences."""
        return described(self.scene, self.states)

    def svg(self, form: Form, *, for_print: bool = False) -> str:
        drawn = job_picture(self.scene, self.states, form, title=self.title, first=self.first_words)
        return to_svg(drawn, for_print=for_print)

    @cached_property
    def sheet(self) -> str:
        return self.svg(SHEET)

    @cached_property
    def phone(self) -> str:
        return self.svg(PHONE)

    @cached_property
    def card(self) -> str:
        return self.svg(CARD)

    @cached_property
    def thumb(self) -> str:
        return self.svg(THUMB)

    def on_paper(self, form: Form) -> dict[str, Any]:
        """What a paper freezes: the drawing with its numbers, and the list that explains them."""
        lines = [
            {
                "number": line.number,
                "title": line.title,
                "words": f"{line.figure}; {line.state.said}",
                "next": line.state.next,
            }
            for line in self.lines
        ]
        svg = self.svg(form, for_print=True)
        beside = [f"{letter} {words}" for letter, words in zip(ascii_lowercase, self.beside, strict=False)]
        return {"svg": svg, "lines": lines, "beside": beside, "unknown": self.unknown}


@one_reading()
def pictures_of(
    jobs: Sequence[Job], at: datetime, facts: Mapping[int, JobFacts] | None = None
) -> dict[int, Picture]:
    """By the job's key. ``facts`` where whoever asks has read them."""
    asked = list(jobs)
    told = load_facts(asked, at) if facts is None else facts
    standing = footings(asked)
    drafts = {
        part: _drafts(part, [j for j in asked if part not in standing[j.pk].in_force]) for part in DRAWN
    }
    deviations = open_deviations(asked)
    found = {}
    for job in asked:
        in_force = standing[job.pk].in_force
        own = {part: drafts[part][job.pk] for part in DRAWN if job.pk in drafts[part]}
        letters = {part: in_force[part].letter for part in (*DRAWN, "pour") if part in in_force}
        today = job.local(at).date()
        found[job.pk] = Picture(
            number=job.number,
            scene=_scene(job, in_force, own),
            states=part_states(
                told[job.pk], {**dict.fromkeys(own, ""), **letters}, deviations[job.pk], today
            ),
            step=next_step(told[job.pk], today),
            letters={part: revision.letter for part, revision in in_force.items()},
            first=next((part for part in DRAWN if part not in in_force and part not in own), ""),
        )
    return found


def picture_of(job: Job, at: datetime, facts: JobFacts | None = None) -> Picture:
    return pictures_of([job], at, None if facts is None else {job.pk: facts})[job.pk]


@dataclass(frozen=True, kw_only=True)
class Brief:
    """What a list of jobs shows of one: the picture the size of a thumb, and the next step."""

    thumb: str
    step: NextStep
    called: tuple[str, ...]  # parts that wait for somebody, in words
    doing: tuple[str, ...]  # parts that are under way
    built: tuple[str, ...]  # titles


# of a job worked out again when its own record, its crew days or what all jobs share have changed
BRIEFS = Kept(most=5000)
SHARED = ("installs.Firm", "installs.User", "installs.Certificate", "installs.TurbineModel")


def briefs_of(jobs: Sequence[Job], at: datetime) -> dict[int, Brief]:
    """By the job's key, kept while nothing of it changes; a constant number of queries for any number."""
    known_at = version(at)
    versions = job_versions(Job.objects.filter(pk__in=[job.pk for job in jobs]), tuple(ENDS))
    shared = (known_at.database, *known_at.of(*SHARED))
    by_key = {job.pk: job for job in jobs}

    def made(keys: list[int]) -> dict[int, Brief]:
        found = pictures_of([by_key[key] for key in keys], at)
        return {key: _brief(picture) for key, picture in found.items()}

    # what is stamped after now, by a clock ahead of ours, is not kept
    settled = {pk: (v.ends, v.day(at), shared) for pk, v in versions.items() if v.settled(at)}
    kept = BRIEFS.each(settled, made)
    ahead = [pk for pk in versions if pk not in settled]
    return {**kept, **(made(ahead) if ahead else {})}


def _brief(picture: Picture) -> Brief:
    states = picture.states.values()
    return Brief(
        thumb=picture.thumb,
        step=picture.step,
        called=tuple(f"{each.title} {each.call}" for each in states if each.call),
        doing=tuple(f"{each.title} {each.words}" for each in states if each.begun),
        built=tuple(each.title.lower() for each in states if each.state is State.BUILT),
    )


def _drafts(part: str, jobs: Sequence[Job]) -> dict[int, Draft]:
    """By job, those that were saved."""
    if not jobs:
        return {}
    every: Any = TABLE[part].draft._default_manager  # every part's draft has a job, the turbine's its model
    rows = every.filter(job__in=[job.pk for job in jobs])
    return {draft.job_id: draft for draft in (rows.select_related("model") if part == "turbine" else rows)}


def _scene(job: Job, in_force: Mapping[str, DesignRevision], drafts: Mapping[str, Draft]) -> Scene:
    figures: dict[str, Any] = {}
    for part in DRAWN:
        try:
            if part in in_force:
                figures[part] = released_figures(TABLE[part].draft.FIGURES, in_force[part])
            elif part in drafts:
                figures[part] = drafts[part].figures
        except (InputError, KeyError, TypeError):
            # a release frozen with other figures than today's cannot be drawn; the page is still read
            log.warning("no figures of %s for the picture of job %s", part, job.number, exc_info=True)
    try:
        return scene_of(figures, _machine(in_force, drafts))
    except (KeyError, TypeError):
        log.warning("no picture of job %s", job.number, exc_info=True)
        return Scene()


def _machine(in_force: Mapping[str, DesignRevision], drafts: Mapping[str, Draft]) -> Mapping[str, Any] | None:
    revision = in_force.get("turbine")
    if revision is not None:
        frozen: Mapping[str, Any] | None = revision.inputs.get("machine")
        return frozen
    model = getattr(drafts.get("turbine"), "model", None)
    return model.figures() if model is not None else None
