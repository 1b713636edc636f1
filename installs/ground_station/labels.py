"""Labels to post, in our own words, with what each must tell.

Sections of Articles 694 and 705 as in the 2017 edition, the others from memory.

The authority and the utility may ask for wording of their own. Labels last outdoors and are not
written by hand (NEC 110.21(B)).
"""

from __future__ import annotations

from dataclasses import dataclass

from installs.ground_station.review import panel_of
from sitecalc.checks import readable
from sitecalc.ground_station.figures import GroundStationFigures
from sitecalc.ground_station.panel import SUM_OF_BREAKERS, carrying_way

FAR_END = ("opposite end from main", "center-fed, one end")


@dataclass(frozen=True)
class Label:
    number: str
    place: str
    tells: str
    section: str


def labels(design: GroundStationFigures) -> list[Label]:
    output = (
        f"{readable(design.inverter_a)} A, {design.inverter_v:g} V"
        if design.inverter_a is not None
        else "output current not given yet"
    )
    found = [
        Label(
            "L1",
            "service equipment and every source's disconnect",
            "All power sources on the premises and where each is disconnected.",
            "705.10, 694.54",
        ),
        Label(
            "L2",
            "wind disconnect",
            f"Wind power source. Rated AC output {output}.",
            "694.50, 694.22",
        ),
        Label(
            "L3",
            "each switch that may be live on both sides when open",
            "Line and load terminals may be live with the switch open.",
            "694.22(A)",
        ),
        Label(
            "L6",
            "controller and shutdown device",
            f"How to shut the turbine down, step by step: {stopping(design)}",
            "694.23",
        ),
        Label(
            "L7",
            "tower base",
            "How to stop the turbine. High voltage. No climbing. Emergency telephone number.",
            "694.56",
        ),
        Label("L11", "each breaker and disconnect", "What it serves.", "110.22, 408.4"),
        Label(
            "L12",
            "inverter",
            f"Listing UL 1741, rating {output}, utility's settings profile.",
            "694.60",
        ),
    ]
    if design.connection == "load side":
        found += _panel_labels(design)
    if not design.one_two_family:
        found += [
            Label("L9", "service", "Available fault current and the day it was worked out.", "110.24"),
            Label("L10", "panels that may be worked on live", "Arc flash hazard.", "110.16"),
        ]
    return sorted(found, key=lambda label: int(label.number[1:]))


def _panel_labels(design: GroundStationFigures) -> list[Label]:
    """By the rule that carries the busbar: the breaker that must stay, or the sum that must not be passed."""
    panel = panel_of(design)
    way = carrying_way(panel).name if panel is not None else ""
    if way.startswith("120 %") or (not way and design.breaker_position in FAR_END):
        return [
            Label(
                "L4",
                "panel, beside the inverter's breaker",
                "Power source output. Do not move this breaker.",
                "705.12(B)",
            )
        ]
    if way == SUM_OF_BREAKERS:
        return [
            Label(
                "L5",
                "panel",
                "Fed by more than one source. All breakers but the main must not add up to more than "
                f"{design.panel_bus_a:g} A.",
                "705.12(B)",
            )
        ]
    return []


def stopping(design: GroundStationFigures) -> str:
    """The order that keeps the rotor from running away; the maker's manual goes before it."""
    if design.regulates_speed:
        return "brake the rotor first, then open disconnects; as the maker writes."
    return "brake, then open disconnects; as the maker writes."
