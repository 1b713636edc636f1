"""The checklists we ship: TOML files under lists/, read once."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from installs.checklists.asking import Likely
from installs.checklists.models import Item

FOLDER = Path(__file__).parent / "lists"
ITEM_FIELDS = {f.name for f in Item._meta.concrete_fields} - {"id", "list", "position"}
# what a reading can be: no term of the list that a job keeps as it was, so it is not copied into the job
LIKELY = {"least", "most"}


@dataclass(frozen=True)
class ListFile:
    key: str
    title: str
    phase: str
    version: str
    items: tuple[dict[str, Any], ...]
    likely: dict[str, Likely]


@cache
def shipped_lists() -> dict[str, ListFile]:
    """Every list by key, in the order of the phases; a fault in a file names file and item."""
    found = [_read(path) for path in sorted(FOLDER.glob("*.toml"))]
    return {shipped.key: shipped for shipped in found}


def _read(path: Path) -> ListFile:
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    for item in content["item"]:
        unknown = set(item) - ITEM_FIELDS - LIKELY
        if unknown:
            raise ValueError(
                f"{path.name}: item {item.get('code')}: unknown field {', '.join(sorted(unknown))}"
            )
    return ListFile(
        key=content["key"],
        title=content["title"],
        phase=content["phase"],
        version=content["version"],
        items=tuple({k: v for k, v in item.items() if k not in LIKELY} for item in content["item"]),
        likely={
            item["code"]: Likely(item["least"], item["most"], item.get("unit", ""), item["code"])
            for item in content["item"]
            if set(item) >= LIKELY
        },
    )


@cache
def _likely() -> dict[str, Likely]:
    return {code: likely for shipped in shipped_lists().values() for code, likely in shipped.likely.items()}


def likely(code: str) -> Likely | None:
    """What a reading of this item can be; outside it is asked again. Common practice, no source."""
    return _likely().get(code)
