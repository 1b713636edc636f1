"""What each kind of paper holds: the releases it must cite and the rooms that give its sheets.

A room gives its sheets by functions ``<name>_sheet(job, revision) -> dict`` (or a list of them) in
in the order in which they stand there, each with its body in ``installs/<room>/_paper_<name>.html``.
``revision`` is the newest release of the room's part, or None for a record (pour card, cure log).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from django.core.exceptions import ValidationError

from installs.jobs.models import DesignRevision, Job
from installs.papers.models import PaperKind

Made = Callable[[Job, DesignRevision | None], dict[str, Any] | list[dict[str, Any]]]


@dataclass(frozen=True)
class From:
    """Sheets of one room: all of them, or those named."""

    room: str
    part: str = ""  # the released part given to them; the room's own name unless said
    names: tuple[str, ...] = ()

    @property
    def part_key(self) -> str:
        return self.part or self.room


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


def _pour_record(kind: PaperKind, phase: str, name: str) -> Packet:
    return Packet(kind, phase, ("foundation",), (From("pour", "foundation", (name,)),), also_cites=("pour",))


PACKETS: dict[str, Packet] = {
    packet.kind.value: packet
    for packet in (
        Packet(
            PaperKind.PERMIT_PACKET,
            "permits",
            ("site", "foundation", "tower", "turbine", "ground_station"),
            tuple(map(From, ("site", "foundation", "tower", "turbine", "ground_station"))),
            size="tabloid",
            title_sheet=True,
            equipment_sheet=True,
            appendix=True,
        ),
        _part_alone(PaperKind.SITE_PLAN, "survey", "site"),
        _part_alone(PaperKind.FOUNDATION, "excavation", "foundation"),
        _part_alone(PaperKind.TOWER, "tower assembly", "tower"),
        _part_alone(PaperKind.ONE_LINE, "ground station", "ground_station"),
        Packet(
            PaperKind.TOWER_LIFT_PLAN,
            "tower lift",
            ("tower_lift",),
            (From("lift", "tower_lift"),),
            appendix=True,
            also_cites=("tower", "foundation"),
        ),
        Packet(
            PaperKind.TURBINE_LIFT_PLAN,
            "turbine lift",
            ("turbine_lift",),
            (From("lift", "turbine_lift"),),
            appendix=True,
            also_cites=("turbine", "tower", "foundation"),
        ),
        Packet(PaperKind.CHECKLISTS, "excavation", (), (From("papers", names=("checklists",)),)),
        _pour_record(PaperKind.POUR_CARD, "pour", "pour_card"),
        _pour_record(PaperKind.CURE_LOG, "cure", "cure_log"),
        _pour_record(PaperKind.STRENGTH_NOTICE, "cure", "strength_notice"),
        _pour_record(PaperKind.SPECIAL_INSPECTION, "pour", "special_inspection"),
        Packet(PaperKind.DEVIATION_SHEET, "pour", (), (From("pour", names=("deviations",)),)),
        Packet(PaperKind.TORQUE_LOG, "tower assembly", ("tower",), (From("tower", names=("torque_log",)),)),
    )
}


# sheets that a packet asks for by name are not among a room's design sheets
RECORDS = frozenset(
    (source.room, name) for packet in PACKETS.values() for source in packet.sheets for name in source.names
)
# first letter of the sheet numbers of parts that draw no sheet of their own
SHEET_LETTERS = {
    "site": "S",
    "foundation": "F",
    "tower": "T",
    "turbine": "M",
    "ground_station": "E",
    "pour": "P",
    "tower_lift": "L",
    "turbine_lift": "L",
}


def part_of(revision: DesignRevision) -> str:
    """The part's key as folders are named: "ground station" is ground_station."""
    return revision.part.replace(" ", "_")


def in_order(revisions: Iterable[DesignRevision]) -> list[DesignRevision]:
    """As papers name them: site, foundation, tower, turbine, ground station, then the rest."""
    order = {part: place for place, part in enumerate(SHEET_LETTERS)}
    return sorted(revisions, key=lambda revision: (order.get(part_of(revision), len(order)), revision.pk))


def cited_words(revisions: Iterable[DesignRevision]) -> str:
    """ "site A, foundation B" """
    return ", ".join(f"{part_title(part_of(r)).lower()} {r.letter}" for r in in_order(revisions))


def part_title(part: str) -> str:
    return part.replace("_", " ").capitalize()


def sheet_functions(source: From) -> list[tuple[str, Made]]:
    """(name, function) of the room's sheets; none where the room has no sheets of its own."""
    module_name = f"installs.{source.room}.sheets"
    if find_spec(module_name) is None:
        return []
    module = import_module(module_name)
    found = [
        (name.removesuffix("_sheet"), made)
        for name, made in vars(module).items()
        if name.endswith("_sheet") and getattr(made, "__module__", "") == module_name
    ]
    wanted = source.names or [name for name, _made in found if (source.room, name) not in RECORDS]
    return [(name, made) for name, made in found if name in wanted]


def is_offered(packet: Packet) -> bool:
    """Whether the rooms give at least one sheet for it."""
    return packet.title_sheet or any(sheet_functions(source) for source in packet.sheets)


def packet_of(kind: str) -> Packet:
    try:
        return PACKETS[kind]
    except KeyError:
        raise ValidationError({"kind": "There is no such paper."}) from None
