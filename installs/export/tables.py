"""Every table that says something of a job, found from the models themselves: a new one is in it by itself.

A row is its own columns by their names. What it points to is said in words a reader understands: a person by
name, a file by its place in the archive, any other row by its number and what it is called.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from django.apps import apps
from django.db import models

from installs.files.models import StoredFile
from installs.jobs.models import Job
from installs.people.models import User
from installs.work.models import WorkRequest

# how a table is called in the archive where the model's own word would not do
CALLED = {
    "job": "job",
    "event": "log",
    "sealed sheets": "sealed sheets",
    "design revision": "releases",
    "meter reading": "meter readings",
}
# columns that hold a whole paper; they stand in files of their own
APART = {("installs.Paper", "inputs")}
# what a row that is pointed to says of itself, and which word of it a spreadsheet shows
SHORT = (
    ({"id", "name", "initials", "role"}, "name"),
    ({"sha256", "bytes", "file"}, "file"),
    ({"id", "is"}, "is"),
    ({"id", "is", "uuid"}, "is"),
)
CHAINS = ("installs.Entry", "installs.Event")
Place = Callable[[StoredFile], str]


@dataclass(frozen=True)
class Table:
    """``to_job`` leads from a row to its job, as a query says it."""

    model: type[models.Model]
    to_job: str

    @property
    def name(self) -> str:
        word = str(self.model._meta.verbose_name)
        return CALLED.get(word) or _many(word)

    @property
    def label(self) -> str:
        return self.model._meta.label

    @property
    def what(self) -> str:
        """The first sentence of what the model says of itself."""
        return " ".join((self.model.__doc__ or "").split("\n\n")[0].split()) if _is_told(self.model) else ""

    @property
    def fields(self) -> list[Any]:
        return [
            field
            for field in self.model._meta.concrete_fields
            if field.related_model not in (Job, WorkRequest) and (self.label, field.name) not in APART
        ]

    def rows(self, job: Job) -> Iterator[Any]:
        """In the order in which they were written; a few at a time, however many there are."""
        to_one = [f.name for f in self.fields if f.is_relation]
        many = [f.name for f in self.model._meta.many_to_many]
        apart = [name for label, name in APART if label == self.label]
        rows: Any = self.model._default_manager.filter(**{self.to_job: job.pk}).defer(*apart)
        order = ["sequence"] if any(f.name == "sequence" for f in self.fields) else ["pk"]
        return iter(
            rows.select_related(*to_one)
            .prefetch_related(*many)
            .order_by(*order)
            .distinct()
            .iterator(chunk_size=100)
        )

    def told(self, row: Any, place: Place) -> dict[str, Any]:
        found = {field.name: value_of(getattr(row, field.name), place) for field in self.fields}
        for field in self.model._meta.many_to_many:
            found[field.name] = [value_of(each, place) for each in getattr(row, field.name).all()]
        return found


def _many(word: str) -> str:
    return f"{word[:-1]}ies" if word.endswith("y") and word[-2] not in "aeou" else f"{word}s"


def _is_told(model: type[models.Model]) -> bool:
    return not (model.__doc__ or "").startswith(f"{model.__name__}(")


def tables() -> list[Table]:
    """The job first, then whatever points to it, nearest first."""
    found: dict[type[models.Model], Table] = {Job: Table(Job, "pk")}
    waiting: list[type[models.Model]] = [Job]
    while waiting:
        below = waiting.pop(0)
        for model in apps.get_models():
            to_it = next((f for f in model._meta.concrete_fields if f.related_model is below), None)
            if to_it is None or model in found:
                continue
            further = "" if below is Job else f"__{found[below].to_job}"
            found[model] = Table(model, f"{to_it.name}{further}")
            waiting.append(model)
    # what is written meanwhile has its line in the log by the time that is read
    return sorted(found.values(), key=lambda table: table.label in CHAINS)


def value_of(value: Any, place: Place) -> Any:
    """As JSON has it; an instant in UTC, as the hashes of the record cover it."""
    if isinstance(value, User):
        return {"id": value.pk, "name": value.full_name, "initials": value.initials, "role": value.role}
    if isinstance(value, StoredFile):
        return {"sha256": value.sha256, "bytes": value.size_bytes, "file": place(value)}
    if isinstance(value, models.Model):
        named = {"uuid": str(value.uuid)} if hasattr(value, "uuid") else {}
        return {"id": value.pk, "is": str(value), **named}
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return value if value is None or isinstance(value, (bool, int, float, str, dict, list)) else str(value)


def cell(value: Any, job: Job) -> Any:
    """As a spreadsheet shows it: a name, a path, a time at the site with its offset."""
    if isinstance(value, Mapping):
        return next((value[short] for keys, short in SHORT if set(value) == keys), value)
    if isinstance(value, str) and len(value) >= 20 and value.endswith("+00:00"):
        try:
            return job.local(datetime.fromisoformat(value)).isoformat()
        except ValueError:
            return value
    return value
