"""From feet on the ground to px on the paper."""

from __future__ import annotations

import math
from dataclasses import KW_ONLY, dataclass, replace

from .shapes import Pair

PX_PER_INCH = 96.0
# (x_ft, y_ft), or (x_ft, y_ft, right_px, up_px): a place in feet and a shift measured on the paper
Point = tuple[float, float] | tuple[float, float, float, float]


@dataclass(frozen=True)
class Frame:
    """Scale and placement: feet, y up, to px, y down. Shifts in px turn with a block but do not grow."""

    px_per_ft: float
    _: KW_ONLY
    origin_ft: Pair = (0.0, 0.0)
    turn: float = 0.0
    grow: float = 1.0
    mirrored: bool = False

    def px(self, point: Point) -> Pair:
        x, y, *shift = point
        right, up = shift or (0.0, 0.0)
        x, y = self._turned(x * self.grow, y * self.grow)
        right, up = self._turned(right, up)
        return (x + self.origin_ft[0]) * self.px_per_ft + right, -(
            y + self.origin_ft[1]
        ) * self.px_per_ft - up

    def length(self, feet: float) -> float:
        return abs(feet) * self.grow * self.px_per_ft

    def direction(self, degrees: float) -> float:
        return self.turn + (180 - degrees if self.mirrored else degrees)

    def child(self, at: Point, turn: float, grow: float, mirrored: bool) -> Frame:
        """The frame of a block placed at ``at`` inside this one."""
        x, y = self.px(at)
        origin = x / self.px_per_ft, -y / self.px_per_ft
        return replace(
            self,
            origin_ft=origin,
            turn=self.turn + (-turn if self.mirrored else turn),
            grow=self.grow * grow,
            mirrored=self.mirrored != mirrored,
        )

    def _turned(self, x: float, y: float) -> Pair:
        east = -x if self.mirrored else x
        turn = math.radians(self.turn)
        return east * math.cos(turn) - y * math.sin(turn), east * math.sin(turn) + y * math.cos(turn)
