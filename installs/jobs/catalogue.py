"""Towers and inverters of the firm, with the figures that a job's draft takes from them.

A row is made from a draft that is saved and is never changed: a maker's new sheet is a new row, the old one
is archived. What was taken stands in the draft with the row's name as its source: no job changes by a row.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.db import models


@dataclass(frozen=True)
class Shelf:
    """One kind of row: the part whose draft takes it, and which figures it holds."""

    title: str
    part: str
    figures: tuple[str, ...]


SHELVES: Mapping[str, Shelf] = {
    "tower": Shelf(
        "Tower",
        "tower",
        (
            "kind", "sections", "joints", "condition", "nut_factor", "first_pass", "edition", "anchor_bolts",
            "anchor_pattern_in", "moment_kip_ft", "shear_kip", "reactions", "reactions_source", "load_factor",
            "solidity_percent", "round_members", "gust_factor", "margin_percent", "plumb_percent",
        ),
    ),
    "inverter": Shelf(
        "Inverter",
        "ground_station",
        (
            "rectifier", "input_max_v", "inverter", "inverter_listed", "inverter_system", "inverter_v",
            "inverter_a", "inverter_fault_a", "backfeed_a",
        ),
    ),
}  # fmt: skip


class CatalogueRow(models.Model):
    """A tower or an inverter as its maker's papers state it."""

    kind = models.CharField(max_length=12, choices=[(key, shelf.title) for key, shelf in SHELVES.items()])
    name = models.CharField(max_length=60)
    value = models.JSONField("figures")
    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    archived_on = models.DateField(null=True, blank=True)
    archived_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["archived_on", "kind", "name"]
        constraints = [
            models.CheckConstraint(condition=models.Q(kind__in=list(SHELVES)), name="catalogue_kind_known"),
            models.UniqueConstraint(fields=["kind", "name"], name="catalogue_name_once"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def shelf(self) -> Shelf:
        return SHELVES[self.kind]

    @property
    def source(self) -> str:
        """What a draft that takes it says of where a figure comes from."""
        return f"catalogue: {self.name}"


def offered_to(part: str) -> list[CatalogueRow]:
    """Rows that a draft of this part may take."""
    kinds = [kind for kind, shelf in SHELVES.items() if shelf.part == part]
    return list(CatalogueRow.objects.filter(kind__in=kinds, archived_on=None)) if kinds else []
