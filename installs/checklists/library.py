"""The checklists we ship: TOML files under lists/, read once."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from installs.checklists.models import Item

FOLDER = Path(__file__).parent / "lists"
ITEM_FIELDS = {f.name for f in Item._meta.concrete_fields} - {"id", "list", "position"}


@dataclass(frozen=True)
class ListFile:
    key: str
    title: str
    phase: str
    version: str
    items: tuple[dict[str, Any], ...]


@cache
def shipped_lists() -> dict[str, ListFile]:
    """Every list by key, in the order of the phases; a fault in a file names file and item."""
    found = [_read(path) for path in sorted(FOLDER.glob("*.toml"))]
    return {shipped.key: shipped for shipped in found}


def _read(path: Path) -> ListFile:
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    for item in content["item"]:
        unknown = set(item) - ITEM_FIELDS
        if unknown:
            raise ValueError(
                f"{path.name}: item {item.get('code')}: unknown field {', '.join(sorted(unknown))}"
            )
    return ListFile(
        key=content["key"],
        title=content["title"],
        phase=content["phase"],
        version=content["version"],
        items=tuple(content["item"]),
    )
