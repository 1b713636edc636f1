"""A list that is shipped can be copied into a job on any database: SQLite takes words of any length."""

from __future__ import annotations

import pytest

from installs.checklists.library import shipped_lists
from installs.checklists.models import Item, JobList


@pytest.mark.parametrize("key", sorted(shipped_lists()))
def test_every_word_of_a_shipped_list_fits_its_column(key: str) -> None:
    shipped = shipped_lists()[key]
    JobList(key=shipped.key, title=shipped.title, phase=shipped.phase, version=shipped.version).clean_fields(
        exclude=["job", "copied_at"]
    )
    for position, fields in enumerate(shipped.items, start=1):
        Item(position=position, **fields).clean_fields(exclude=["list"])
