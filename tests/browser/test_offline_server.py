"""A phone whose server is killed with -9 while it holds the phone's request, and started again."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.bench.office import Office, held
from tests.browser import phone as on
from tests.browser.conftest import PATIENCE_MS
from tests.prepared import schema_for

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture
def office(tmp_path):
    schema_for(tmp_path)
    office = Office(tmp_path)
    yield office
    office.kill()


def test_a_server_killed_in_mid_request_and_started_again_has_the_entries_once(office, chromium) -> None:
    [(_, session)], [number] = office.people_and_jobs(1, 1)
    office.start()
    url = f"http://127.0.0.1:{office.port}"
    context = chromium.new_context(base_url=url, has_touch=True, service_workers="block")
    context.set_default_timeout(PATIENCE_MS)
    context.add_cookies([{"name": "sessionid", "value": session, "url": url}])
    page = context.new_page()
    on.wait_for_ready(page)
    page.goto(f"/day/{number}/list/{on.LIST}/")
    on.quiet(page)
    on.add(page, number, page.url, 0, 3)
    on.has_waiting(page, 0)
    with held(office):
        with page.expect_request(on.ENTRIES) as sent:
            on.add(page, number, page.url, 3, 5)
        office.kill()
    assert [e["subject"] for e in sent.value.post_data_json["entries"]] == ["place 3", "place 4"]
    expect(page.locator("#waiting")).to_contain_text("2 entries are on this phone, not sent")
    uuids = {row["entry"]["uuid"] for row in on.waiting(page)}
    office.start()
    on.emptied(office, page)
    context.close()
    kept, faults = office.record()
    assert (len(kept), len(set(kept)), faults) == (5, 5, [])
    assert uuids <= set(kept)
