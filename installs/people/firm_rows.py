"""Rows of the firm as they were and as they are, for the line of the firm's log that a change leaves."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, TypeVar

from django.db import models, transaction

from installs.people.firm_log import write_firm_event
from installs.people.models import FirmEvent, User
from installs.typed import RowForm

# the key stands beside the changes; what a password is stands nowhere
NOT_SAID = {"id", "password", "last_login", "known_from"}
LONGEST_VALUE = 80
Values = dict[str, Any]
Row = TypeVar("Row", bound=models.Model)


def as_kept(row: models.Model) -> Values | None:
    """What the database holds of a row, which is locked until the transaction ends; None for a new one."""
    found = type(row)._default_manager.select_for_update().filter(pk=row.pk).first()
    return values_of(found) if found else None


def values_of(row: models.Model) -> Values:
    """Each column, and whom it names by their names: a line of the log is read by itself."""
    found = {f.name: _plain(row, f) for f in row._meta.concrete_fields if f.name not in NOT_SAID}
    named = {f.name: sorted(str(each) for each in getattr(row, f.name).all()) for f in row._meta.many_to_many}
    return found | named


def _plain(row: models.Model, field: models.Field[Any, Any]) -> Any:
    value = getattr(row, field.name)
    return value if isinstance(value, (int, float, str, list, dict, type(None))) else str(value)


def write_row(
    kind: str,
    row: models.Model,
    before: Values | None,
    *,
    by: User | str,
    at: datetime,
    of: Mapping[str, Any] | None = None,
    named: str = "",
) -> FirmEvent | None:
    """The line of a row that was added, or changed from ``before``; none where nothing changed.

    ``of`` says whose it is: {"person": 5}. The row's own key stands in the line anyway. ``named`` says in
    words more of a row than its name does.
    """
    after = values_of(row)
    changed = {n: [(before or {}).get(n), v] for n, v in after.items() if (before or {}).get(n) != v}
    if before is None:
        changed = {name: both for name, both in changed.items() if both[1] not in ("", [], False)}
        what = f"{kind.capitalize()} added: {named or row}."
    else:
        what = f"{row}: {'; '.join(_in_words(row, n, *both) for n, both in changed.items())}."
    if not changed:
        return None
    verb = f"{kind} {'added' if before is None else 'changed'}"
    data = {**(of or {}), kind: row.pk, "changed": changed}
    return write_firm_event(verb, what, by=by, at=at, data=data)


def _in_words(row: models.Model, name: str, old: Any, new: Any) -> str:
    field = row._meta.get_field(name)
    unit = getattr(field, "unit", "")
    called = str(getattr(field, "verbose_name", name))
    return f"{called} {_said(old)} to {_said(new)}{f' {unit}' if unit else ''}"


def _said(value: Any) -> str:
    if value is None or value in ("", []):
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:,.10g}"
    if isinstance(value, list):
        names = [each for each in value if isinstance(each, str)]
        return (", ".join(names) if names else f"{len(value)} rows")[:LONGEST_VALUE]
    return str(value)[:LONGEST_VALUE]


@transaction.atomic
def save_row(form: RowForm[Row], kind: str, *, by: User, at: datetime) -> Row:
    """Add or change a row of the firm from its valid form."""
    before = as_kept(form.instance)
    row = form.save()
    write_row(kind, row, before, by=by, at=at)
    return row


@transaction.atomic
def archive_row(
    kind: str,
    row: models.Model,
    on: date,
    *,
    by: User,
    at: datetime,
    of: Mapping[str, Any] | None = None,
    named: str = "",
) -> None:
    """Out of use from that day; what cited it keeps it. Twice is once."""
    live = type(row)._default_manager.filter(pk=row.pk, archived_on=None)
    if live.update(archived_on=on, archived_by=by):
        words = f"{kind.capitalize()} archived: {named or row}."
        write_firm_event(f"{kind} archived", words, by=by, at=at, data={**(of or {}), kind: row.pk})
