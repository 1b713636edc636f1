"""The pad's section filled by trucks, to scale: each ticket fills it to its yardage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from installs.drafting import Drawing, feet_and_inches, to_svg
from installs.pour.field_log import TruckTicket

SCALES = (12.0, 16.0, 19.2, 24.0, 32.0, 48.0)  # px a foot: 1 in = 8, 6, 5, 4, 3, 2 ft
GROUND_FT = 1.4
NOTE_PX = 19.0  # from one truck's note to the next


@dataclass(frozen=True, kw_only=True)
class Layer:
    """Concrete of one truck in the section: from and to in yards, and what is said of it.

    ``placed`` is discharged; ``on_site`` stands before the form, and may still be sent back.
    """

    number: int
    low_yd3: float
    high_yd3: float
    note: str
    placed: bool
    on_site: bool = False

    @property
    def words(self) -> str:
        """ "truck 3, 9.5 yd³ on site" """
        end = "" if self.placed else " on site" if self.on_site else " to come"
        return f"truck {self.number}, {self.high_yd3 - self.low_yd3:.1f} yd³{end}"


@dataclass(frozen=True, kw_only=True)
class Section:
    """``net_yd3`` is what the pad takes; the layers are in the order of the trucks."""

    width_ft: float
    thickness_ft: float
    net_yd3: float
    layers: tuple[Layer, ...]
    maturity: float

    @property
    def placed_yd3(self) -> float:
        return max((layer.high_yd3 for layer in self.layers if layer.placed), default=0.0)

    def height_ft(self, yards: float) -> float:
        return self.thickness_ft * min(yards / self.net_yd3, 1.0)

    @property
    def words(self) -> str:
        """ "pad 35.3 yd³, 36.5 yd³ placed, 1.2 yd³ over"; what stands on site is said apart."""
        placed = self.placed_yd3
        rest = placed - self.net_yd3
        end = f"{rest:.1f} yd³ over" if rest > 0.05 else f"{-rest:.1f} yd³ to go" if rest < -0.05 else "full"
        waits = "".join(
            f"; truck {w.number} on site with {w.high_yd3 - w.low_yd3:.1f} yd³"
            for w in self.layers
            if w.on_site
        )
        return f"pad {self.net_yd3:.1f} yd³, {placed:.1f} yd³ placed, {end}{waits}"


def layers_of(
    trucks: Sequence[TruckTicket], notes: dict[int, str], loads_yd3: Sequence[float]
) -> tuple[Layer, ...]:
    """Trucks that poured, by yardage; those on site; then the loads still to come."""
    found: list[Layer] = []
    level = 0.0
    poured = [t for t in trucks if t.discharged and t.yards]
    waiting = [t for t in trucks if t.on_site and t.yards]
    for ticket in (*poured, *waiting):
        yards = ticket.yards or 0.0
        note = notes.get(ticket.number, "")
        found.append(
            Layer(
                number=ticket.number,
                low_yd3=level,
                high_yd3=level + yards,
                note=f"{note}, on site" if ticket.on_site else note,
                placed=ticket.discharged,
                on_site=ticket.on_site,
            )
        )
        level += yards
    number = max((t.number for t in trucks), default=0)
    for load in loads_yd3:
        number += 1
        found.append(
            Layer(
                number=number,
                low_yd3=level,
                high_yd3=level + load,
                note=f"{load:.1f} yd³ to come",
                placed=False,
            )
        )
        level += load
    return tuple(found)


def px_per_ft(width_ft: float, room_px: float) -> float:
    fitting = [scale for scale in SCALES if width_ft * scale <= room_px]
    return max(fitting, default=room_px / width_ft)


@lru_cache(maxsize=32)
def section_svg(
    section: Section, *, for_print: bool = False, room_px: float = 420, plain: bool = False
) -> str:
    """For desk and paper: leaders with each truck's readings beside the section, ``room_px`` wide at most.

    ``plain`` leaves out ground and dimensions: the small one of the job book.
    """
    scale = px_per_ft(section.width_ft, room_px)
    d = Drawing("Section of the pad, filled by truck", scale, section.words)
    _pad(d, section, ground=not plain)
    lowest = _beside(d, section, scale, 0.0 if plain else GROUND_FT)
    if not plain:
        width, thick = section.width_ft, section.thickness_ft
        d.dimension((0, thick), (width, thick), off_px=44, along="horizontal")
        d.dimension((0, 0), (0, thick), off_px=-62, along="vertical", text=feet_and_inches(thick))
    feet = round(96 / scale, 3)
    d.drawing_title(
        (0, 0, 0, min(-30 if plain else -46, lowest - 28)), "Section", f"{section.words}. 1 in = {feet:g} ft"
    )
    return to_svg(d, for_print=for_print)


@lru_cache(maxsize=32)
def narrow_section_svg(section: Section) -> str:
    """For a phone: yards on the left, each truck written into its layer, letters of 16 px."""
    scale = 300 / section.width_ft
    d = Drawing("Section of the pad, filled by truck", scale, section.words)
    tall = max(1.0, max(76, 19 * len(section.layers)) / (section.thickness_ft * scale))
    drawn = Section(
        width_ft=section.width_ft,
        thickness_ft=section.thickness_ft * tall,
        net_yd3=section.net_yd3,
        layers=section.layers,
        maturity=section.maturity,
    )
    _pad(d, drawn, ground=False)
    middle = drawn.width_ft / 2
    for layer in drawn.layers:
        low, high = drawn.height_ft(layer.low_yd3), drawn.height_ft(layer.high_yd3)
        if high - low < 16 / scale:
            continue
        d.text((middle, (low + high) / 2, 0, -5), layer.words, anchor="middle", size=16, blank=True)
    for yards in range(0, int(section.net_yd3) + 1, 10):
        y = drawn.height_ft(yards)
        d.line((0, y, -5, 0), (0, y), weight="thin")
        d.text((0, y, -8, -5), str(yards), anchor="end", size=16)
    return to_svg(d, margin=4)


def _pad(d: Drawing, section: Section, *, ground: bool) -> None:
    width, top = section.width_ft, section.thickness_ft
    for layer in section.layers:
        low, high = section.height_ft(layer.low_yd3), section.height_ft(layer.high_yd3)
        if high - low < 1e-6:
            continue
        if layer.placed:
            corners = [(0.0, low), (width, low), (width, high), (0.0, high)]
            d.hatch("concrete", corners, maturity=section.maturity)
            if high < top - 1e-6:
                d.line((0, high), (width, high), weight="thin")
        else:
            d.line((0, high), (width, high), weight="thin", dash="tentative")
    d.rectangle(0, 0, width, top, weight="heavy", layer="concrete")
    for center in (0.22 * width, 0.78 * width):
        for shift in (-4.0, 4.0):
            d.line(
                (center, top, shift, 10), (center, top * 0.35, shift, 0), weight="bar", layer="anchor bolt"
            )
    if ground:
        for left, right in ((-GROUND_FT, 0.0), (width, width + GROUND_FT)):
            d.hatch("earth", [(left, 0), (right, 0), (right, top * 0.86), (left, top * 0.86)])
        d.hatch(
            "earth",
            [(-GROUND_FT, -0.55), (width + GROUND_FT, -0.55), (width + GROUND_FT, 0), (-GROUND_FT, 0)],
        )


def _beside(d: Drawing, section: Section, scale: float, ground_ft: float) -> float:
    """Notes right of the section, one under another, none over the next. Where the lowest stands, px."""
    layers = list(reversed(section.layers))
    place = (section.thickness_ft * scale + (len(layers) + 1) * NOTE_PX) / 2
    for layer in layers:
        low, high = section.height_ft(layer.low_yd3), section.height_ft(layer.high_yd3)
        middle = (low + high) / 2 * scale
        place = min(max(middle, place - 2 * NOTE_PX), place - NOTE_PX)
        d.line(
            (section.width_ft, (low + high) / 2),
            (section.width_ft + ground_ft, 0.0, 24.0, place),
            weight="thin",
        )
        d.text((section.width_ft + ground_ft, 0, 30, place - 4.5), f"{layer.number}   {layer.note}")
    return place if layers else 0.0
