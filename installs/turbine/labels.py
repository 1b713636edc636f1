"""In the catalogue's words what a release keeps of a machine, by the path under which it is frozen."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from installs.jobs.figures import Label, split_unit
from installs.turbine.models import TurbineModel


def labels(path: str) -> dict[str, Label]:
    rows = TurbineModel._meta.concrete_fields
    return {
        f"{path}.{r.name}": (f"Machine: {r.verbose_name}", split_unit(r.name)[1], _choices(r.choices))
        for r in rows
    }


def _choices(listed: Iterable[Any] | None) -> dict[str, str]:
    return {str(value): str(words) for value, words in listed or ()}
