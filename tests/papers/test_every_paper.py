"""Every kind of paper, of the first job of the demo that can order it, read as it would lie on a desk."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from weasyprint import HTML

from installs.jobs.models import Job
from installs.papers.catalog import PACKETS
from installs.papers.printing import printed
from installs.papers.services import order_paper
from installs.people.models import User
from tests.papers.printed_words import faults

# what must stand released or done before it is not so far in any job of the demo
NOT_IN_THE_DEMO: frozenset[str] = frozenset()


def test_words_on_one_another_and_off_the_sheet_are_found() -> None:
    sheet = """<style>@page { size: 4in 2in; margin: 0 }
    p { position: absolute; margin: 0; font: 12px sans-serif; white-space: nowrap }</style>
    <p style="left: 20px; top: 20px">420 ft</p><p style="left: 40px; top: 22px">north</p>
    <p style="left: 20px; top: 60px">one line</p><p style="left: 20px; top: 74px">the next</p>
    <p style="left: 360px; top: 120px">beyond the edge</p>"""
    off, on_another = faults(HTML(string=sheet).write_pdf())
    assert off == "page 1: “beyond the edge” leaves its sheet"
    assert on_another.startswith("page 1: “420 ft") and on_another.endswith("north” stand on one another")


@pytest.mark.prove
@pytest.mark.django_db(transaction=True)
def test_no_word_of_any_paper_stands_on_another_or_leaves_its_sheet(prepared_demo, settings) -> None:
    settings.STORAGES = prepared_demo.storages
    prepared_demo.put()
    by, at = User.objects.get(username="alma"), timezone.now()
    found, left = [], set(PACKETS)
    for job in Job.objects.order_by("number"):
        for kind in sorted(left):
            try:
                paper = order_paper(job, kind, by=by, at=at)
            except ValidationError:
                continue
            left.remove(kind)
            content = printed(paper, lambda *_: None).content
            found += [f"{kind} of {job.number}, {fault}" for fault in faults(content)]
    assert found == []
    assert left == NOT_IN_THE_DEMO
