"""A paper stands in the job book under the phase that its packet names."""

from __future__ import annotations

import pytest

from installs.book.pages import rows
from installs.jobs.phases import BY_KEY
from installs.papers.catalog import PACKETS
from installs.papers.models import Paper, PaperKind
from tests.make import AT


def test_every_kind_of_paper_has_a_packet_and_every_packet_a_phase():
    assert set(PACKETS) == set(PaperKind.values)
    assert {packet.phase for packet in PACKETS.values()} <= set(BY_KEY)


@pytest.mark.django_db
def test_the_job_book_keeps_each_paper_under_its_own_phase(job, office):
    """Among the permits stands what is sent for them: the packet and the application to the utility."""
    for kind in PaperKind.values:
        Paper.objects.create(
            job=job, kind=kind, letter="A", inputs={}, inputs_sha256="0" * 64, ordered_by=office,
            ordered_at=AT,
        )  # fmt: skip
    kept = {paper.kind: row.phase.key for row in rows(job, AT) for paper in row.papers}
    assert len(kept) == len(PaperKind.values)
    assert [kind for kind, phase in kept.items() if phase == "permits"] == [
        "permit packet",
        "interconnection",
    ]
    assert {kept["special inspection"], kept["deviation sheet"], kept["pour card"]} == {"pour"}
    assert kept["site plan"] == "survey"
    assert kept["foundation sheets"] == "excavation"
    assert kept["tower sheets"] == kept["torque log"] == "tower assembly"
    assert kept["one-line"] == "ground station"
