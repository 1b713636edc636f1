"""The bolt template: what the shop cuts, what the foreman tapes, and the survey of what was set."""

from __future__ import annotations

import io
import math

import pytest
from django.urls import reverse

from installs.checklists.models import Entry
from installs.checklists.services import copy_lists
from installs.checklists.standing import satisfies
from installs.foundation.bolt_template import cut_file, drawings, template_of
from installs.foundation.models import FoundationDesign
from installs.foundation.review import review
from tests.foundation.make_foundation import FIGURES, make_foundation, release
from tests.make import AT, alma, make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def released(job):
    release(make_foundation(job), make_person("Rhoda Kell", "engineer"))
    copy_lists(job, by=alma(), at=AT)
    return job


def facts_of(job, **other):
    draft = FoundationDesign(job=job, **{**FIGURES, **other})
    return draft.figures, review(draft).results


def typed(figures, facts, off=None):
    """The survey of bolts that stand as drawn, but for those in ``off`` (inches east)."""
    lines = []
    for hole in template_of(figures, facts).holes:
        east = hole.x_in + (off or {}).get(hole.mark, 0.0)
        lines.append(f"{hole.mark}, {east:.4f}, {hole.y_in:.4f}, {figures.projection_in}")
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("base", "bolts", "holes"), [("4 legs", 4, 4), ("3 legs", 6, 6), ("tube", 12, 12), ("4 legs", 1, 1)]
)
def test_the_cut_file_holds_each_hole_at_its_size(job, base, bolts, holes):
    """Read back by ezdxf: inches, as many circles as holes, 1/16 in over a 1 in bolt."""
    import ezdxf

    figures, facts = facts_of(job, base=base, anchor_per_leg=bolts, leg_spacing_ft=6.0)
    document = ezdxf.read(io.StringIO(cut_file(figures, facts).decode()))
    assert document.header["$INSUNITS"] == 1
    cut = [e for e in document.modelspace() if e.dxf.layer == "MASTWRIGHT-TEMPLATE-HOLE"]
    assert len(cut) == holes
    assert {round(e.dxf.radius * 2, 6) for e in cut} == {1.0625}
    assert not [e for e in document.modelspace() if e.dxftype() in ("TEXT", "MTEXT")]


def test_holes_of_the_cut_file_lie_on_the_pattern(job):
    import ezdxf

    figures, facts = facts_of(job, anchor_pattern_in=9.0)
    document = ezdxf.read(io.StringIO(cut_file(figures, facts).decode()))
    at = [e.dxf.center for e in document.modelspace() if e.dxf.layer == "MASTWRIGHT-TEMPLATE-HOLE"]
    far = max(a.distance(b) for a in at for b in at)
    assert far == pytest.approx(9 * math.sqrt(2))


@pytest.mark.parametrize("base", ["3 legs", "4 legs", "tube"])
def test_every_base_can_be_drawn(job, base):
    figures, facts = facts_of(job, base=base, anchor_per_leg=8, leg_spacing_ft=6.0)
    shown = drawings(figures, facts)
    assert set(shown) == {"layout", "plate"} and "NaN" not in "".join(shown.values())


def test_nothing_is_cut_before_the_release(at_the_desk, job):
    make_foundation(job)
    assert at_the_desk.get(reverse("foundation-template-cut", args=[job.number])).status_code == 404


def test_the_released_template_is_sent_as_a_file(at_the_desk, released):
    answer = at_the_desk.get(reverse("foundation-template-cut", args=[released.number]))
    assert answer.status_code == 200 and f"{released.number}-template-A.dxf" in answer["Content-Disposition"]


def test_a_survey_in_tolerance_completes_its_item(at_the_desk, released):
    figures, facts = facts_of(released)
    url = reverse("foundation-survey", args=[released.number])
    answer = at_the_desk.post(url, {"measured": typed(figures, facts, {"A1": 0.03}), "do": "record"})
    assert answer.status_code == 302
    entry = Entry.objects.get(job=released, code="E11")
    assert satisfies(entry) and len(entry.data["measured"]) == 16


def test_a_bolt_off_the_template_is_recorded_and_completes_nothing(at_the_desk, released):
    """The tower's 1/16 in is what counts, not the item's wider 1/8 in."""
    figures, facts = facts_of(released)
    url = reverse("foundation-survey", args=[released.number])
    at_the_desk.post(url, {"measured": typed(figures, facts, {"C3": 0.11}), "do": "record"})
    entry = Entry.objects.get(job=released, code="E11")
    assert abs(entry.number) < 0.125 and not satisfies(entry) and "C3" in entry.text


def test_a_survey_of_some_bolts_is_recorded_and_completes_nothing(at_the_desk, released):
    figures, facts = facts_of(released)
    some = "\n".join(typed(figures, facts).splitlines()[:5])
    url = reverse("foundation-survey", args=[released.number])
    at_the_desk.post(url, {"measured": some, "do": "record"})
    assert not satisfies(Entry.objects.get(job=released, code="E11"))


def test_only_looking_records_nothing(at_the_desk, released):
    figures, facts = facts_of(released)
    url = reverse("foundation-survey", args=[released.number])
    page = at_the_desk.post(url, {"measured": typed(figures, facts), "do": "look"})
    assert "every bolt in tolerance" in page.content.decode() and not Entry.objects.exists()


@pytest.mark.parametrize(
    "words",
    ["", "A1", "A1, soon, 4", "Z9, 1, 2\nA1, 3, 4", "A1, 1, 2\nA1, 1, 2", "A1, NaN, 2\nA2, 1, 1",
     "A1, 1e9, 2\nA2, 1, 1", "A1, 1, 2", "\x00", "A1,1,2\n" * 400],
)  # fmt: skip
def test_what_is_no_survey_is_said_at_the_field_and_comes_back(at_the_desk, released, words):
    url = reverse("foundation-survey", args=[released.number])
    page = at_the_desk.post(url, {"measured": words, "do": "record"})
    assert page.status_code == 422 and "errorlist" in page.content.decode()
    assert not Entry.objects.exists()
