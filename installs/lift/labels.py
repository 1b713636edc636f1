"""In the trade's words what a release of a lift keeps beside its figures: rows at hand, what designs gave.

By the path under which it is frozen, in the order in which it is printed; None is not printed.
"""

from __future__ import annotations

from collections.abc import Mapping

from installs.equipment.models import Crane, LoadChart, Sling
from installs.jobs.figures import split_unit
from installs.lift.models import AT_HAND, PEOPLE, LiftDesign
from sitecalc.figures import declared
from sitecalc.lift.figures import LiftFigures

Label = tuple[str, str] | None

GIVEN: dict[str, Label] = {
    "source": ("Weight taken from", ""),
    "sections": ("Sections of the tower, from its foot", ""),
    "steel_lb": ("Steel of each section alone", "lb"),
    "stands": ("Tower that it is set on, from its top down", ""),
    "rotor_ft": ("Rotor, across", "ft"),
    "hub_ft": ("Hub above the yaw flange", "ft"),
    "ahead_ft": ("Rotor ahead of the hook line", "ft"),
    "tail_ft": ("Tail behind the hook line", "ft"),
    "tube": ("The tower is a tube", ""),
    "nuts": ("Anchor nuts", ""),
    "yaw_bolts": ("Yaw bolts", ""),
    "plumb_in": ("Plumb within", "in"),
    "pad_ft": ("Foundation, side", "ft"),
}
FIRM = ("critical_percent", "most_percent")


def labels() -> Mapping[str, Label]:
    return {**_given(), **_at_hand()}


def _given() -> dict[str, Label]:
    """A figure that a design gave is called as where it is typed."""
    found: dict[str, Label] = {}
    for figure in declared(LiftFigures):
        by = "the firm's" if figure.name in FIRM else "by the design"
        meaning = f"{figure.meaning[:1].upper()}{figure.meaning[1:]}"
        found[f"given.{figure.name}"] = (f"{meaning}, {by}", figure.unit)
    return {**found, **{f"given.{name}": label for name, label in GIVEN.items()}}


def _at_hand() -> dict[str, Label]:
    found: dict[str, Label] = {}
    for name, model in (
        ("crane", Crane), ("chart", LoadChart), ("near_sling", Sling), ("far_sling", Sling),
        ("shackle", Sling),
    ):  # fmt: skip
        row = _called(name)
        for field in model._meta.concrete_fields:
            words, unit = str(field.verbose_name), split_unit(field.name)[1]
            found[f"{AT_HAND}.{name}.{field.name}"] = (f"{row}: {words}", unit)
        found[f"{AT_HAND}.{name}.record"] = None
    # the hash says for certain which page it was, and belongs behind what a person reads
    found[f"{AT_HAND}.chart.ratings"] = ("Load chart: its ratings", "")
    del found[f"{AT_HAND}.chart.sha256"]
    found[f"{AT_HAND}.chart.sha256"] = ("Load chart: check code", "")
    for name in PEOPLE:
        row = _called(name)
        found |= {
            f"{AT_HAND}.{name}.name": (row, ""),
            f"{AT_HAND}.{name}.firm": (f"{row}: firm", ""),
            f"{AT_HAND}.{name}.record": None,
        }
    return found


def _called(name: str) -> str:
    words = str(LiftDesign._meta.get_field(name).verbose_name)  # type: ignore[union-attr]  # a field of its own, no relation back
    return f"{words[:1].upper()}{words[1:]}"
