"""Figures that a page offers, put into what was typed: nothing is saved by it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from installs.jobs.catalogue import offered_to
from installs.jobs.design_forms import DesignForm
from installs.jobs.old_page import as_posted


@dataclass(frozen=True)
class Offer:
    """Figures by name, what their button says, and the source that stands beside each once it is taken."""

    words: str
    figures: Mapping[str, Any]
    source: str


def catalogue_offers(part: str) -> dict[str, Offer]:
    """By what their buttons send."""
    return {
        f"row-{row.pk}": Offer(f"{row.shelf.title} {row.name}", row.value, row.source)
        for row in offered_to(part)
    }


def filled_in(data: QueryDict, form: DesignForm[Any], offer: Offer) -> QueryDict:
    """What was typed, with the offered figures in place of what stood in their fields."""
    merged = data.copy()
    for name, value in offer.figures.items():
        if name not in form.fields:
            continue
        for key in [key for key in merged if key == name or key.startswith(f"{name}-")]:
            del merged[key]
        for key, text in as_posted(name, form.fields[name], value).items():
            if text:
                merged[key] = text
        if not hasattr(form.fields[name], "columns"):
            merged[f"note-{name}"] = offer.source
    return merged
