"""What a part of a job is to the rooms that read all of them: one row of installs.parts.PARTS."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from installs.jobs.drafts import Draft
from installs.jobs.material_lines import Line
from installs.jobs.models import DesignRevision, Job

Context = dict[str, Any]
Figures = Mapping[str, Any]


@dataclass(frozen=True)
class Sheet:
    """One paper sheet: ``make(job, revision)`` gives its context, or a list of them (one a list, one a lift).

    Its body is ``installs/<room>/_paper_<name>.html``, or the plain one where the room has none.
    """

    name: str
    make: Callable[[Job, Any], Context | list[Context]]


@dataclass(frozen=True)
class Taken:
    """Figures of another part as a release was judged for them. ``given``: the other part gave them.

    Where it gave none, these are figures of its own that the other part will give later: they must agree.
    """

    figures: Figures
    given: bool


@dataclass(frozen=True)
class OnPaper:
    """Of an item's paper copy: a line for each subject that is expected, and what is accepted, in words."""

    subjects: tuple[str, ...] = ()
    accepted: str = ""


@dataclass(frozen=True, kw_only=True)
class ByHand:
    """A table on sheets of its own that belongs to a checklist's paper copy: a row a truck, a bolt, a day.

    title
        what the paper and the links to it call it.
    sheets
        its pages for a job, each with its ``title`` and the template of its body as ``inner``; none while it
        is not known what its rows are.
    codes
        items that are written on it, and have no lines on the list.
    key_page
        the name of the page by which the office keys it in.
    """

    title: str
    sheets: Callable[[Job], list[Context]]
    codes: tuple[str, ...] = ()
    key_page: str


@dataclass(frozen=True, kw_only=True)
class Taking:
    """What a part takes from another: it stands on the release that gives these figures.

    taken
        from the part's own inputs (a draft's or a release's), what of the other part it was judged for.
    offered
        the same figures as a release of the other part gives them.
    words
        how a figure is said in a sentence, by its name: ("moment", "{:,.0f} kip-ft"). Others are compared.
    """

    part: str
    taken: Callable[[Figures], Taken]
    offered: Callable[[DesignRevision], Figures]
    words: Mapping[str, tuple[str, str]]


@dataclass(frozen=True, kw_only=True)
class Part:
    """``key`` is what releases and acceptances call it, ``room`` the folder of its code and templates.

    page, menu
        the name of its page's address, and what the menu calls it (its title unless said; "" for no line).
    sheet
        first letter of its sheet numbers.
    phase
        the phase of the job under which its releases, papers and drawing stand.
    sheets
        its design sheets in the order in which a packet holds them; ``records`` are those of what was done,
        which a paper asks for by name.
    equipment
        lines of the packet's equipment list; ``materials`` those of the material list; ``strip`` the small
        drawing of the job book, with True at the end as it is for a phone, at the phases of ``strip_at`` (its
        own unless said). All from a release, ``strip`` from the draft while there is none.
    given
        what other parts give to a draft of it now, by the names under which a release freezes them.
    criteria
        names of its figures that the title sheet prints as design criteria, given or not.
    labels
        (label, unit) of what a release keeps beside its declared figures, by its path ("given.nuts"), in the
        order of print; None: not printed. Without one a name is printed as it is.
    stands_on
        the same as it stands in releases: what was taken, and what a release of the other part offers.
    subjects
        what items of a checklist go through one by one, as a release names them: by the phase of the list
        ("" for any) and the list's word for one ("leg"). ``subjects_beside`` are others that may be recorded
        under the same items and complete none.
    on_paper
        what a release says of the paper copies of checklists, by the code of an item: the trucks that are
        ordered, and the limits that no list can know.
    by_hand
        tables on sheets of their own that go with the paper copy of a checklist, by the list's key.
    limits
        what readings of a checklist are held against, as the releases of many jobs give it (by the job's key,
        then by the phase of the list and the item's code; installs/checklists/limits.py).
    """

    key: str
    room: str
    title: str
    page: str
    sheet: str
    phase: str
    draft: type[Draft]
    review: Callable[[Any], Any]
    sheets: tuple[Sheet, ...] = ()
    records: tuple[Sheet, ...] = ()
    equipment: Callable[[DesignRevision], list[dict[str, Any]]] | None = None
    criteria: tuple[str, ...] = ()
    materials: Callable[[DesignRevision], list[Line]] | None = None
    strip: Callable[[Job, str, datetime, bool], str] | None = None
    strip_at: tuple[str, ...] = ()
    menu: str | None = None
    given: Callable[[Any], Context] | None = None
    labels: Callable[[], Mapping[str, tuple[str, str] | tuple[str, str, Mapping[str, str]] | None]] = dict
    stands_on: tuple[Taking, ...] = ()
    subjects: Mapping[tuple[str, str], Callable[[DesignRevision], tuple[str, ...]]] = field(
        default_factory=dict
    )
    limits: Callable[[list[Job]], Mapping[int, Mapping[tuple[str, str], Any]]] | None = None
    subjects_beside: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    on_paper: Callable[[DesignRevision], Mapping[str, OnPaper]] | None = None
    by_hand: Mapping[str, ByHand] = field(default_factory=dict)

    @property
    def called(self) -> str:
        """As the menu calls it."""
        return self.title if self.menu is None else self.menu

    @property
    def drawn_at(self) -> tuple[str, ...]:
        return self.strip_at or (self.phase,)

    def draft_of(self, job: Job) -> Draft:
        """The job's draft of this part, or a new one."""
        return self.draft.of(job, **({"which": self.key} if self.room == "lift" else {}))


def taken_by_name(given: Figures | None, own: Figures, names: tuple[str, ...]) -> Taken:
    """What the other part gave, by these names; where it gave none, the part's own figure if there is one."""
    own_figures = {name: own[name] for name in names if own.get(name) not in (None, "", [])}
    theirs = {name: given[name] for name in names if name in given} if given is not None else {}
    return Taken({**own_figures, **theirs}, given=given is not None)


TABLE: dict[str, Part] = {}


def register(parts: tuple[Part, ...]) -> None:
    """Called once, when every room is ready: this room is below the parts and must not import them."""
    TABLE.update({part.key: part for part in parts})
    for part in parts:
        if part.given is not None:
            part.draft.given = part.given  # type: ignore[method-assign, assignment]  # as its row says
