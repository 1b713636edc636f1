"""Every kind of paper, of the first job of the demo that can order it, read as it would lie on a desk."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from playwright.sync_api import Route, sync_playwright

from installs.jobs.models import Job
from installs.papers.catalog import PACKETS
from installs.papers.pages import SEALED, documents
from installs.papers.printing import printed, static_roots
from installs.papers.services import order_paper
from installs.people.models import User
from tests.browser import test_every_page as every_page
from tests.browser.chromium import ARGUMENTS, PROGRAM
from tests.papers.printed_words import faults

# what must stand released or done before it is not so far in any job of the demo
NOT_IN_THE_DEMO: frozenset[str] = frozenset()


def test_words_on_one_another_and_off_the_sheet_are_found() -> None:
    from weasyprint import HTML

    sheet = """<style>@page { size: 4in 2in; margin: 0 }
    p { position: absolute; margin: 0; font: 12px sans-serif; white-space: nowrap }</style>
    <p style="left: 20px; top: 20px">420 ft</p><p style="left: 40px; top: 22px">north</p>
    <p style="left: 20px; top: 60px">one line</p><p style="left: 20px; top: 74px">the next</p>
    <p style="left: 360px; top: 120px">beyond the edge</p>"""
    off, on_another = faults(HTML(string=sheet).write_pdf())
    assert off == "page 1: “beyond the edge” leaves its sheet"
    assert on_another.startswith("page 1: “420 ft") and on_another.endswith("north” stand on one another")


@pytest.fixture(autouse=True)
def plain_rooms() -> None:
    """Here the rooms print their own sheets: in place of the folder's fixture that leaves them out."""


def drawn_faults(sheets: Iterable[tuple[str, str]]) -> list[str]:
    """Of the drawings on sheets of paper (name, HTML), with the letters that they are printed with."""
    found, root = [], next(static_roots())
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=PROGRAM, args=ARGUMENTS)
        page = browser.new_page()
        set_now = ""

        def give(route: Route) -> None:
            path = Path(root, urlsplit(route.request.url).path.lstrip("/"))
            if path.is_file():
                route.fulfill(path=path)
            else:
                route.fulfill(body=set_now, content_type="text/html")

        page.route("http://paper.invalid/**", give)
        for name, html in sheets:
            set_now = html
            page.goto("http://paper.invalid/")
            page.evaluate("document.fonts.ready.then(() => true)")
            found += [f"{name}: {fault}" for fault in every_page.drawn_faults(page)]
        browser.close()
    return found


def test_a_drawing_on_a_sheet_is_looked_at_with_its_own_letters() -> None:
    drawn = '<path d="M10 30H290" stroke="#000"/><text x="40" y="34">420 ft</text>'
    line = f'<svg width="300" height="60">{drawn}</svg>'
    sheet = '<link rel="stylesheet" href="installs/paper.css"><section class="sheet letter">{}</section>'
    assert drawn_faults([("S-1", sheet.format(line)), ("S-2", sheet.format("<p>420 ft</p>"))]) == [
        "S-1: “420 ft” is struck through by a line"
    ]


@pytest.mark.prove
@pytest.mark.django_db(transaction=True)
def test_no_word_of_any_paper_stands_on_another_or_leaves_its_sheet(prepared_demo, settings) -> None:
    settings.STORAGES = prepared_demo.storages
    prepared_demo.put()
    by, at = User.objects.get(username="alma"), timezone.now()
    found, left, drawn = [], set(PACKETS), []
    for job in Job.objects.order_by("number"):
        for kind in sorted(left):
            try:
                paper = order_paper(job, kind, by=by, at=at)
            except ValidationError:
                continue
            left.remove(kind)
            sheets = [html for _said, html in documents(paper.inputs) if html != SEALED]
            drawn += [(f"{kind} of {job.number}, {place}", html) for place, html in enumerate(sheets, 1)]
            content = printed(paper, lambda *_: None).content
            found += [f"{kind} of {job.number}, {fault}" for fault in faults(content)]
    assert found + drawn_faults(drawn) == []
    assert left == NOT_IN_THE_DEMO
