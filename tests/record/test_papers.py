"""What is cut from the end of the record, or written anew as a whole chain, is found from any paper."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from installs.checklists.heads import printed_line
from installs.checklists.services import copy_lists, line_hash, record
from installs.jobs.models import Event, Job
from installs.jobs.sealing import event_hash
from installs.jobs.services import add_member, write_event
from installs.papers.freezing import thawed
from installs.papers.models import Paper
from installs.papers.pages import documents
from installs.papers.services import keep_printed, order_paper
from installs.record.faults import Record
from tests.make import AT, alma, make_job, make_person

pytestmark = pytest.mark.django_db

SEAL: dict[str, Callable] = {"events": event_hash, "entries": line_hash}
WORDS = {"events": ("log line", "the log", "line"), "entries": ("entry", "the field record", "entry")}


@pytest.fixture
def paper() -> Paper:
    """Of a job with eight lines in its log and four entries by then, and with more of both since."""
    office, ben = alma(), make_person()
    job = make_job(by=office, members=(ben,))
    copy_lists(job, by=office, at=AT)
    for _ in range(4):
        add_member(job, make_person(), by=office, at=AT)
    entered(job, 4)
    paper = order_paper(job, "checklists", by=office, at=AT)
    keep_printed(paper, b"%PDF-1.7 stands for the paper", 11, at=AT)
    entered(job, 2)
    write_event(job, "note", "nobody has checked the record yet", by=office, at=AT)
    return Paper.objects.get(pk=paper.pk)


def entered(job: Job, times: int) -> None:
    for number in range(times):
        record(job, code="slump", by=job.members.first().person, taken_at=AT, received_at=AT, number=number)


def faults(paper: Paper) -> list[str]:
    """As a check that knows of no earlier one."""
    return Record.of(Job.objects.get(pk=paper.job_id)).faults(None)


def rewritten(paper: Paper, chain: str, change: Callable[[list], list]) -> None:
    """The chain of changed lines, numbered and sealed anew from its first line to its last."""
    before = list(getattr(paper.job, chain).order_by("sequence"))
    kept, previous = change(list(before)), "0" * 64
    for line in before:
        line.__class__.objects.filter(pk=line.pk).update(sequence=line.sequence + 1000)
    for line in before:
        if line not in kept:
            line.delete()
    for number, line in enumerate(kept, start=1):
        line.sequence, line.previous_hash = number, previous
        line.hash = previous = SEAL[chain](line)
        line.save()


def changed(lines: list) -> list:
    if isinstance(lines[1], Event):
        lines[1].what = "something else"
    else:
        lines[1].received_at = AT.replace(hour=20)
    return lines


def with_one_more(lines: list) -> list:
    """Another between the first two."""
    first = lines[0]
    fields = {f.name: getattr(first, f.name) for f in first._meta.fields if f.name not in ("id", "uuid")}
    more = type(first)(**{**fields, "sequence": 900})
    more.save(force_insert=True)
    return [first, more, *lines[1:]]


REWRITTEN = {
    "a line changed": changed,
    "a line put in": with_one_more,
    "a line taken out": lambda lines: [lines[0], *lines[2:]],
}


def test_nobody_touched_it(paper) -> None:
    assert faults(paper) == []
    assert {word: end[0] for word, end in paper.inputs["heads"].items() if word != "day"} == {
        "log line": 7,
        "entry": 4,
    }


@pytest.mark.parametrize("chain", ["events", "entries"])
@pytest.mark.parametrize("change", REWRITTEN.values(), ids=REWRITTEN)
def test_a_whole_chain_written_anew_is_found_from_the_paper(paper, chain, change) -> None:
    rewritten(paper, chain, change)
    found = faults(paper)
    word, of, one = WORDS[chain]
    number, digits = paper.inputs["heads"][word]
    fours = " ".join(re.findall("....", digits))
    at = f"checklists A of May 5, 2031 was printed at {word} {number} {fours}"
    assert f"Papers: {at}; {of} has another {one} there" in found
    assert not [words for words in found if words.startswith(("Log", "Field record"))]


@pytest.mark.parametrize("chain", ["events", "entries"])
def test_a_cut_tail_is_found_from_the_paper(paper, chain) -> None:
    word, of, one = WORDS[chain]
    number, _ = paper.inputs["heads"][word]
    getattr(paper.job, chain).filter(sequence__gte=number).delete()
    [found] = [words for words in faults(paper) if f"was printed at {word} {number} " in words]
    assert found.endswith(f"; {of} has no {one} {number}")


def test_a_tail_cut_behind_what_the_paper_cites_takes_the_papers_own_line(paper) -> None:
    paper.job.events.filter(sequence__gt=paper.inputs["heads"]["log line"][0]).delete()
    assert faults(paper) == [
        "Papers: no line of the log orders checklists A of May 5, 2031 as it is",
        "Papers: the PDF of checklists A of May 5, 2031 is not one that the log says was printed",
    ]


def test_a_paper_that_was_altered_bears_no_witness(paper) -> None:
    paper.inputs["heads"]["entry"] = [3, "0" * 16]
    paper.save()
    assert faults(paper) == ["Papers: what checklists A of May 5, 2031 is printed from was altered"]


def test_a_paper_that_is_gone_is_missed(paper) -> None:
    job, [line] = paper.job, paper.job.events.filter(verb="paper ordered").values_list("sequence", flat=True)
    Paper.objects.filter(pk=paper.pk).update(job=make_job())
    assert Record.of(job).faults(None) == [f"Papers: the one that line {line} of the log ordered is gone"]


def test_every_sheet_and_the_calculations_say_where_the_record_ended(paper) -> None:
    number, digits = paper.inputs["heads"]["log line"]
    line = f"Record at printing, May 5, 2031: log line {number} {digits[:4]} "
    assert all(line in html for _, html in documents(paper.inputs))


def test_a_paper_from_before_is_printed_as_it_was(paper) -> None:
    old = {name: value for name, value in paper.inputs.items() if name != "heads"}
    assert not any("Record at" in html or "paper_record" in html for _, html in documents(old))


def test_a_page_in_the_hand_is_held_to_the_chains(paper) -> None:
    line, said = printed_line(thawed(paper.inputs["heads"])), StringIO()
    call_command("chains", paper.job.number, paper=line, stdout=said)
    assert said.getvalue().endswith(": as printed\n")
    rewritten(paper, "entries", changed)
    with pytest.raises(
        CommandError, match=r"printed at entry 4 .*; the field record has another entry there"
    ):
        call_command("chains", paper.job.number, paper=line)
    for numbers, words in (([], line), ([paper.job.number], "log line 7 a1b2")):
        with pytest.raises(CommandError, match="Name one job"):
            call_command("chains", *numbers, paper=words)
