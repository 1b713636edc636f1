"""What each kind of paper holds: the releases it must cite and the parts that give its sheets.

A part's sheets stand in its row of the table of parts: its design sheets, and the records that a paper asks
for by name. The part that the sheets stand on gives its newest release, or None for a record without one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError

from installs.jobs.models import DesignRevision
from installs.jobs.parts import TABLE, Sheet
from installs.papers.models import PaperKind
from installs.papers.sheets import checklists_sheet
from installs.utility.sheets import application_sheet, record_sheet

# sheets that belong to no part, by their room
OWN_ROOM, UTILITY = "papers", "utility"
OWN = {
    OWN_ROOM: (Sheet("copies", checklists_sheet),),
    UTILITY: (Sheet("application", application_sheet), Sheet("record", record_sheet)),
}


@dataclass(frozen=True)
class From:
    """Sheets of one part, or of a room that is none: its design sheets, or those named.

    ``stands_on``: whose release they print. ``size``: their own, where it is not the packet's.
    ``if_released``: left out while the part is not released, else the paper waits for it.
    """

    part: str
    names: tuple[str, ...] = ()
    stands_on: str = ""
    size: str = ""
    if_released: bool = False

    @property
    def released_part(self) -> str:
        return self.stands_on or self.part

    @property
    def room(self) -> str:
        return TABLE[self.part].room if self.part in TABLE else self.part

    def sheets(self) -> tuple[Sheet, ...]:
        """In the order in which they stand in the table of parts."""
        part = TABLE.get(self.part)
        every = (*part.sheets, *part.records) if part else OWN[self.part]
        if self.names:
            return tuple(sheet for sheet in every if sheet.name in self.names)
        return part.sheets if part else OWN[self.part]


@dataclass(frozen=True)
class Packet:
    kind: PaperKind
    phase: str  # under which the job book keeps it
    parts: tuple[str, ...]  # must be released, and are cited
    sheets: tuple[From, ...]
    size: str = "letter"
    title_sheet: bool = False
    equipment_sheet: bool = False
    appendix: bool = False
    also_cites: tuple[str, ...] = field(default=())  # cited if released

    @property
    def title(self) -> str:
        return self.kind.label


def _part_alone(kind: PaperKind, phase: str, part: str) -> Packet:
    """A part's own sheets, for the field or the utility."""
    return Packet(kind, phase, (part,), (From(part),), size="tabloid")


def _pour_record(kind: PaperKind, phase: str, *names: str) -> Packet:
    return Packet(kind, phase, ("foundation",), (From("pour", names, "foundation"),), also_cites=("pour",))


PERMIT_PARTS = ("site", "foundation", "tower", "turbine", "ground_station")
PACKETS: dict[str, Packet] = {
    packet.kind.value: packet
    for packet in (
        Packet(
            PaperKind.PERMIT_PACKET,
            "permits",
            PERMIT_PARTS,
            tuple(map(From, PERMIT_PARTS)),
            size="tabloid",
            title_sheet=True,
            equipment_sheet=True,
            appendix=True,
        ),
        _part_alone(PaperKind.SITE_PLAN, "survey", "site"),
        _part_alone(PaperKind.FOUNDATION, "excavation", "foundation"),
        _part_alone(PaperKind.TOWER, "tower assembly", "tower"),
        Packet(
            PaperKind.INTERCONNECTION,
            "permits",
            (),
            (From(UTILITY), From("ground_station", ("one_line",), size="tabloid", if_released=True)),
            also_cites=("turbine", "ground_station"),
        ),
        _part_alone(PaperKind.ONE_LINE, "ground station", "ground_station"),
        Packet(
            PaperKind.TOWER_LIFT_PLAN,
            "tower lift",
            ("tower lift",),
            (From("tower lift"),),
            appendix=True,
            also_cites=("tower", "foundation"),
        ),
        Packet(
            PaperKind.TURBINE_LIFT_PLAN,
            "turbine lift",
            ("turbine lift",),
            (From("turbine lift"),),
            appendix=True,
            also_cites=("turbine", "tower", "foundation"),
        ),
        Packet(PaperKind.CHECKLISTS, "excavation", (), (From(OWN_ROOM),)),
        _pour_record(PaperKind.POUR_CARD, "pour", "pour_card", "trucks"),
        _pour_record(PaperKind.CURE_LOG, "cure", "cure_log", "cure_round"),
        _pour_record(PaperKind.STRENGTH_NOTICE, "cure", "strength_notice"),
        _pour_record(PaperKind.SPECIAL_INSPECTION, "pour", "special_inspection"),
        Packet(PaperKind.DEVIATION_SHEET, "pour", (), (From("pour", ("deviations",)),)),
        Packet(
            PaperKind.TORQUE_LOG,
            "tower assembly",
            ("tower",),
            (From("tower", ("torque_log", "torque_sheets")),),
        ),
    )
}


def in_order(revisions: Iterable[DesignRevision]) -> list[DesignRevision]:
    """As papers name them: in the order of the table of parts."""
    order = {part: place for place, part in enumerate(TABLE)}
    return sorted(revisions, key=lambda revision: (order.get(revision.part, len(order)), revision.pk))


def cited_words(revisions: Iterable[DesignRevision]) -> str:
    """ "site A, foundation B" """
    return ", ".join(f"{part_title(r.part).lower()} {r.letter}" for r in in_order(revisions))


def part_title(part: str) -> str:
    return TABLE[part].title


def is_offered(packet: Packet) -> bool:
    """Whether the rooms give at least one sheet for it."""
    return packet.title_sheet or any(source.sheets() for source in packet.sheets)


def packet_of(kind: str) -> Packet:
    try:
        return PACKETS[kind]
    except KeyError:
        raise ValidationError({"kind": "There is no such paper."}) from None
