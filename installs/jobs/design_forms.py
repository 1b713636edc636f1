"""The schedule of inputs: a model form whose fields have balloon numbers, units and source notes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from installs.measures import short_words
from sitecalc.inputs import InputError

LONGEST_NOTE = 200
FURTHER = "Further inputs"


@dataclass(frozen=True)
class ScheduleLine:
    balloon: int
    field: BoundField
    unit: str
    note: str
    note_name: str
    released: str
    heading: str = ""

    @property
    def is_words(self) -> bool:
        """Several lines of words: they take the whole width."""
        return isinstance(self.field.field.widget, forms.Textarea)


class DesignForm(forms.ModelForm):
    """Base of the parts' forms.

    ``BALLOONS`` maps field names to balloon numbers, in the order of the schedule; a field not in it
    comes after, without a number: by the headings of ``GROUPS`` where there are any, the rest as further
    inputs. Each field may be given a note of where its number comes from, as ``note-<field>``.
    """

    BALLOONS: ClassVar[dict[str, int]] = {}
    GROUPS: ClassVar[dict[str, tuple[str, ...]]] = {}

    released_inputs: dict[str, Any] = {}

    def schedule(self) -> Iterator[ScheduleLine]:
        for heading, name in self._in_order():
            field = self[name]
            yield ScheduleLine(
                balloon=self.BALLOONS.get(name, 0),
                field=field,
                unit=getattr(field.field, "unit", ""),
                note=self._note(name),
                note_name=f"note-{name}",
                released=self._released(name, field),
                heading=heading,
            )

    def _in_order(self) -> Iterator[tuple[str, str]]:
        """(heading, name): the heading stands at the first field of its group."""
        numbered = [name for name in self.BALLOONS if name in self.fields]
        grouped = {name for names in self.GROUPS.values() for name in names}
        rest = tuple(n for n in self.fields if n not in self.BALLOONS and n not in grouped)
        yield from (("", name) for name in numbered)
        further = FURTHER if numbered or self.GROUPS else ""
        for heading, names in (*self.GROUPS.items(), (further, rest)):
            for at, name in enumerate(name for name in names if name in self.fields):
                yield (heading if at == 0 else ""), name

    def _note(self, name: str) -> str:
        if self.is_bound and f"note-{name}" in self.data:
            return self.data[f"note-{name}"]
        return (self.instance.notes or {}).get(name, "")

    def _released(self, name: str, field: BoundField) -> str:
        """The released number where the draft differs from it."""
        if name not in self.released_inputs or isinstance(self.released_inputs[name], (list, dict)):
            return ""
        released = self.released_inputs[name]
        now = self.instance.inputs().get(name)
        if released == now:
            return ""
        shown = f"{released:.6g}" if isinstance(released, float) else str(released)
        return f"released: {shown} {getattr(field.field, 'unit', '')}".strip()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        self.instance.notes = self._clean_notes()
        self.instance.typed = {
            name: str(self.data[name])[:60] for name in self.fields if isinstance(self.data.get(name), str)
        }
        return cleaned

    def _clean_notes(self) -> dict[str, str]:
        """The notes as sent, an emptied one gone; what cannot be kept is said at its figure."""
        notes = dict(self.instance.notes or {})
        for name in self.fields:
            if f"note-{name}" not in self.data:
                continue
            try:
                notes[name] = short_words(self.data[f"note-{name}"], LONGEST_NOTE)
            except ValidationError as error:
                self.add_error(name, [f"Source, note: {words}" for words in error.messages])
        return {name: words for name, words in notes.items() if words}

    def add_input_error(self, error: InputError) -> None:
        """Show an engineering InputError at its field, or above the schedule if it has none here."""
        name = error.field.split("[")[0].split(".")[0]
        self.add_error(name if name in self.fields else None, f"{error.message}")
