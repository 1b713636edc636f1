"""What a release gives on: paper sheets, equipment, material lines, labels."""

from __future__ import annotations

import pytest

from installs.checklists.limits import limit_of, limits_of
from installs.checklists.models import Item
from installs.checklists.services import copy_lists
from installs.ground_station import sheets
from installs.ground_station.labels import labels
from installs.ground_station.materials import lines
from installs.ground_station.models import GroundStationDesign
from installs.ground_station.review import review
from installs.jobs.figures import figures_of
from installs.jobs.services import release_design
from installs.papers.freezing import frozen
from tests.ground_station.make_station import HOUSE, make_station
from tests.make import AT, alma

pytestmark = pytest.mark.django_db


@pytest.fixture
def revision(job):
    draft = make_station(job)
    found = review(draft)
    return release_design(
        job, "ground_station", draft.inputs(), found.results, found.checks, by=alma(), at=AT
    )


def test_the_one_line_sheet_is_printed_from_the_release_not_the_draft(job, revision):
    sheet = sheets.one_line_sheet(job, revision)
    GroundStationDesign.objects.get().change(inverter="Another inverter").save()
    job.refresh_from_db()
    assert sheets.one_line_sheet(job, revision) == sheet
    assert sheet["sheet"] == "E-1" and "Plainfield inverter 10" in sheet["drawings"]["one_line"]
    assert "drop" in sheet["drawings"]["one_line"]


def test_sheets_can_be_frozen(job, revision):
    for sheet in (sheets.one_line_sheet(job, revision), sheets.wiring_sheet(job, revision)):
        assert frozen(sheet)["title"]


def test_the_overspeed_caution_is_on_the_sheet_of_a_machine_whose_circuit_holds_its_speed(job, revision):
    assert "overspeed" in sheets.one_line_sheet(job, revision)["cautions"][0]


def test_equipment_of_the_release(revision):
    items = {line["item"]: line["detail"] for line in sheets.equipment(revision)}
    assert items["Breaker"] == "60 A, 22,000 AIC, Inverter output"
    assert items["Utility disconnect"] == "60 A, fuses 60 A, lockable open"
    assert "listed UL 1741" in items["Inverter"]


def test_conductor_is_counted_wire_by_wire_and_by_kind(revision):
    """3 wires of 95 and 240 ft and 3 of 40 ft are 1,125 ft of 4 AWG; grounds are listed green.

    Allowance 5 % and 6 ft at each of 18 ends: common practice, no source.
    """
    phase = next(line for line in lines(revision) if line.detail.startswith("4 AWG copper THWN-2, Tower"))
    assert phase.quantity == 3 * (95 + 240) + 3 * 40
    assert phase.allowance == 165  # 0.05 x 1,125 + 18 x 6 = 164.25, up to the foot
    green = [line for line in lines(revision) if ", green" in line.detail]
    assert {line.quantity for line in green} == {335.0, 40.0}


def test_conduit_ribbon_supports_devices_and_labels(revision):
    found = {(line.item, line.detail): line for line in lines(revision)}
    assert found["Conduit", "1-1/4 in RMC, Tower riser"].quantity == 95
    ribbon = next(line for line in lines(revision) if line.item == "Warning ribbon")
    assert ribbon.quantity == 240
    support = next(line for line in lines(revision) if line.item == "Conductor support")
    assert support.quantity == 2  # 90 ft, 45 ft apart
    assert found["Breaker", "60 A, 22,000 AIC, Inverter output"].quantity == 1
    assert (
        found["Fuse", "60 A, Utility disconnect"].quantity == 2
    )  # one in each line of a single-phase output
    assert all(line.phase == "ground station" and line.quantity >= 0 for line in lines(revision))


def test_parallel_sets_multiply_conductor_and_conduit(job):
    row = HOUSE | {"sets": 2.0, "size": "1/0", "ground_size": "6", "trade_size": "2"}
    draft = make_station(job, runs=[row])

    class Released:
        inputs = draft.inputs()

    found = lines(Released())
    assert next(line for line in found if line.detail.startswith("1/0")).quantity == 2 * 3 * 40
    assert next(line for line in found if line.item == "Conduit").quantity == 80


@pytest.mark.parametrize(
    ("change", "posted", "not_posted"),
    [
        ({}, {"L1", "L2", "L4", "L7"}, {"L5", "L9", "L10"}),
        ({"breaker_position": "elsewhere", "breakers_sum_a": 150.0}, {"L5"}, {"L4"}),
        ({"connection": "supply side"}, {"L1"}, {"L4", "L5"}),
        ({"one_two_family": False}, {"L9", "L10"}, set()),
    ],
)
def test_labels_follow_the_design(job, change, posted, not_posted):
    """Label schedule in our own words; sections from memory."""
    numbers = {label.number for label in labels(make_station(job, **change).figures)}
    assert posted <= numbers and not (not_posted & numbers)


def test_a_label_says_the_inverters_output(job):
    assert "41.7 A, 240 V" in next(
        label.tells for label in labels(make_station(job).figures) if label.number == "L2"
    )


def test_a_copper_ground_beside_aluminum_is_drawn_scheduled_and_bought_as_copper(job):
    row = HOUSE | {"metal": "aluminum", "size": "2", "ground_size": "8", "ground_metal": "copper"}
    draft = make_station(job, runs=[row])
    found = review(draft)
    passing = [check for check in found.checks if not check.needs_answer]
    revision = release_design(job, "ground_station", draft.inputs(), found.results, passing, by=alma(), at=AT)
    green = [line.detail for line in lines(revision) if ", green" in line.detail]
    assert len(green) == 1 and green[0].startswith("8 AWG copper THWN-2, green")
    assert "8 AWG copper ground" in sheets.one_line_sheet(job, revision)["drawings"]["one_line"]
    assert sheets.wiring_sheet(job, revision)["runs"][0]["ground"] == "8 AWG copper"


@pytest.mark.parametrize(
    ("change", "posted", "not_posted"),
    [
        # 478 A of 480 by the far end, 310 of 400 by the sum: the sum carries the bus
        (
            {"panel_bus_a": 400.0, "panel_main_a": 400.0, "inverter_a": 62.5, "breakers_sum_a": 310.0},
            "L5",
            "L4",
        ),
        # 227 of 240 by the far end, 195 of 200 by the sum: the far end carries it
        ({"breakers_sum_a": 195.0}, "L4", "L5"),
        # with the main it is no more than the bus holds: nothing must stay where it is
        ({"breaker_position": "elsewhere", "panel_main_a": 100.0, "breakers_sum_a": 190.0}, "L1", "L4"),
    ],
)
def test_the_label_is_of_the_rule_that_carries_the_busbar(job, change, posted, not_posted):
    numbers = {label.number for label in labels(make_station(job, **change).figures)}
    assert posted in numbers and not_posted not in numbers


def test_a_trench_is_held_to_the_cover_that_its_conduit_asks(job, revision):
    """NEC table 300.5, reprinted by UpCodes: 18 in over PVC in open ground, 6 in over rigid metal."""
    copy_lists(job, by=alma(), at=AT)
    item = Item.objects.get(list__job=job, code="G01")
    limit = limit_of(item, limits_of([job])[job.pk])
    assert limit.outside(17.5) and not limit.outside(18.0)
    assert limit.words == "Accepted 18 in or more."


def test_a_trench_whose_wiring_is_not_released_keeps_the_range_of_its_list(job):
    copy_lists(job, by=alma(), at=AT)
    item = Item.objects.get(list__job=job, code="G01")
    assert limit_of(item, limits_of([job])[job.pk]).low == item.low == 6


def test_its_sheets_answer_to_the_electrician(job, revision):
    for sheet in (sheets.one_line_sheet(job, revision), sheets.wiring_sheet(job, revision)):
        assert sheet["responsible"] == "electrician"


def test_a_figure_whose_emptiness_says_something_prints_what_it_says(job, revision):
    """The ground is of the conductor's metal where nobody chose another: that is given."""
    runs = next(line for line in figures_of(revision.part, revision.inputs) if line["name"] == "runs")["rows"]
    upright = {cells[0]: cells[1:] for cells in runs["lines"]}
    assert set(upright["Ground's metal"]) == {"as the conductor"}
