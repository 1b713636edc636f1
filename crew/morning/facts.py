"""Cranes and wrenches as the look-ahead asks after them: until when each was last found good."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from installs.equipment.models import Crane, Equipment, Wrench


@dataclass(frozen=True, kw_only=True)
class ThingFact:
    """``until``: the last day of its inspection or calibration, None where none counts. Range in ft-lb."""

    name: str
    proof: str
    until: date | None
    low_ft_lb: float = 0.0
    high_ft_lb: float = 0.0

    def good_on(self, day: date) -> bool:
        return self.until is not None and day <= self.until

    def does_for(self, other: ThingFact) -> bool:
        """Whether it reaches as low and as high as the other."""
        return self.low_ft_lb <= other.low_ft_lb and self.high_ft_lb >= other.high_ft_lb


@dataclass(frozen=True)
class Yard:
    cranes: Mapping[int, ThingFact]
    wrenches: tuple[ThingFact, ...]


def yard_facts() -> Yard:
    """What is in use; four queries. An archived crane that a day still names has nothing that counts."""
    cranes = {c.pk: _fact(c, c.name) for c in Crane.objects.prefetch_related("records")}
    wrenches = Wrench.objects.filter(archived_on=None).prefetch_related("records")
    return Yard(cranes, tuple(_fact(w, w.serial, w.low_ft_lb, w.high_ft_lb) for w in wrenches))


def _fact(thing: Equipment, name: str, low: float = 0.0, high: float = 0.0) -> ThingFact:
    newest = thing.newest_record(date.max) if thing.archived_on is None else None
    until = newest.expires_on if newest else None
    return ThingFact(name=name, proof=thing.PROOF, until=until, low_ft_lb=low, high_ft_lb=high)
