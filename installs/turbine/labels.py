"""In the catalogue's words what a release keeps of a machine, by the path under which it is frozen."""

from __future__ import annotations

from installs.jobs.figures import Label, split_unit
from installs.turbine.models import TurbineModel


def labels(path: str) -> dict[str, Label]:
    rows = TurbineModel._meta.concrete_fields
    return {f"{path}.{r.name}": (f"Machine: {r.verbose_name}", split_unit(r.name)[1]) for r in rows}
