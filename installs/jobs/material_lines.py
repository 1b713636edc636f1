"""One line of a material list, as the parts give them from their released designs."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass


@dataclass(frozen=True, order=True)
class Good:
    """What a supplier quotes a price for, the same in every job: its name and the unit it is sold by."""

    name: str
    unit: str


@dataclass(frozen=True)
class Line:
    """``quantity`` is what the design needs, ``allowance`` what is ordered beyond it, both in ``unit``.

    ``good`` is its name on a quote, where the item alone would not tell one from another; ``by_weight_lb``
    the weight of all that is ordered, for what is listed by the piece and sold by the pound.
    """

    phase: str
    item: str
    detail: str
    quantity: float
    unit: str
    allowance: float = 0.0
    good: str = ""
    _: KW_ONLY
    by_weight_lb: float | None = None

    @property
    def order(self) -> float:
        return self.quantity + self.allowance

    @property
    def sold_as(self) -> Good:
        return Good(self.good or self.item, self.unit if self.by_weight_lb is None else "lb")

    @property
    def sold(self) -> float:
        """How much is bought, in the unit it is sold by."""
        return self.order if self.by_weight_lb is None else self.by_weight_lb
