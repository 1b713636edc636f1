"""A photo goes before its entry, once, and again where the office lost it."""

from __future__ import annotations

import base64

import pytest
from django.core.files.storage import default_storage
from playwright.sync_api import expect

from installs.files.keeping import fault_of
from installs.files.models import StoredFile
from tests.browser import phone as on

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def test_a_photo_whose_reply_is_lost_is_one_file_on_one_entry(field, phone) -> None:
    page, number = phone(), field.job(on.OWNER).number
    before = StoredFile.objects.count()
    page.route(on.PHOTOS, on.times(1, on.lost_reply))
    picture = base64.b64encode(on.small_photo(1)).decode()
    on.add(page, number, on.list_path(field), 0, 1, [picture])
    on.emptied(field, page)
    assert on.entries(field).get().photo is not None
    assert StoredFile.objects.count() == before + 1


def test_a_photo_that_the_office_lost_before_its_entry_came_is_sent_once_more(field, phone) -> None:
    """As after a disk that broke: the photo was answered for, the entry was not."""
    page, number, lost = phone(), field.job(on.OWNER).number, []

    def lose(route) -> None:
        file = StoredFile.objects.order_by("pk").last()
        default_storage.delete(file.storage_name)
        lost.append(file)
        route.continue_()

    page.route(on.ENTRIES, on.times(1, on.with_entries(lose)))
    picture = base64.b64encode(on.small_photo(2)).decode()
    on.add(page, number, on.list_path(field), 0, 1, [picture])
    on.emptied(field, page)
    assert on.entries(field).get().photo == lost[0]
    assert fault_of(lost[0]) == ""


def test_a_photo_that_would_never_be_taken_does_not_hold_up_the_entries_behind_it(field, phone) -> None:
    page, number = phone(), field.job(on.OWNER).number
    page.context.set_offline(True)
    on.add(page, number, on.list_path(field), 0, 1, [base64.b64encode(b"no picture").decode()])
    on.add(page, number, on.list_path(field), 1, 3)
    page.context.set_offline(False)
    on.emptied(field, page)
    assert [e.subject for e in on.entries(field)] == ["place 1", "place 2"]
    expect(page.locator("#waiting .refused")).to_contain_text("not a picture")
