"""The schedule of inputs: a model form whose fields have balloon numbers, units and source notes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from installs.jobs.drafts import Draft
from installs.jobs.figure_fields import field_of
from installs.measures import short_words
from installs.typed import RowForm
from sitecalc.figures import declared
from sitecalc.inputs import InputError

LONGEST_NOTE = 200
FURTHER = "Further inputs"
SHORT_CHOICE = 16  # letters that stand in the columns of value and unit
WHOLE = 34  # letters of a list that a phone shows; design.js knows it too


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

    @property
    def is_empty(self) -> bool:
        return self.field.value() in (None, "", [])

    @property
    def laid_out(self) -> str:
        """How its line is laid out: whole width, a choice or words that a figure's room would cut, a day."""
        widget = self.field.field.widget
        if self.is_words or hasattr(self.field.field, "columns"):
            return "long"
        if isinstance(widget, forms.DateInput | forms.TimeInput):
            return "dated"
        if isinstance(self.field.field, forms.ModelChoiceField):
            return "chosen"  # what the firm has: as long as a name may be, and not asked for twice
        offered = [words for _, words in getattr(widget, "choices", ())]
        if not offered and "inputmode" not in widget.attrs and not isinstance(widget, forms.CheckboxInput):
            offered = [self.field.value() or ""]
        longest = max((len(str(words)) for words in offered), default=0)
        return "chosen" if longest > SHORT_CHOICE else ""

    @property
    def chosen_words(self) -> str:
        """What is chosen from a list where the list would cut it: it is read whole under it."""
        value = str(self.field.value() or "")
        offered = getattr(self.field.field.widget, "choices", ()) if value else ()
        words = next((str(words) for key, words in offered if str(key) == value), "")
        return words if len(words) > WHOLE else ""


@dataclass(frozen=True)
class ScheduleGroup:
    """Lines under one heading. Folded where nobody has to look: no fault, nothing missing that must be given,
    nothing that differs from the release."""

    heading: str
    lines: tuple[ScheduleLine, ...]

    @property
    def folded(self) -> bool:
        return bool(self.heading) and not any(
            line.field.errors or line.released or (line.field.field.required and line.is_empty)
            for line in self.lines
        )

    @property
    def counted(self) -> str:
        """ "7 figures, 3 not given", beside the heading of what is folded."""
        every, empty = len(self.lines), sum(line.is_empty for line in self.lines)
        return f"{every} figure{'' if every == 1 else 's'}" + (f", {empty} not given" if empty else "")


OfPart = TypeVar("OfPart", bound=Draft)


class DesignForm(RowForm[OfPart]):
    """Base of the parts' forms: its fields are the figures that the draft's dataclass declares.

    A part's form adds what a figure alone cannot say: ``Meta.fields`` are the draft's own foreign keys, a
    field of its own in place of a figure's (rows that look otherwise), ``EXTRA`` the balloons of fields that
    are no figures (a file to read rows from), and ``clean`` what two figures must not say to each other.

    In the schedule the numbered figures come first, then the others by their headings. Each figure may be
    given a note of where its number comes from, as ``note-<name>``.
    """

    EXTRA: ClassVar[dict[str, int]] = {}

    released_inputs: Mapping[str, Any] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.declared = {f.name: f for f in declared(self._meta.model.FIGURES)}
        for figure in self.declared.values():
            if figure.name not in self.fields and not figure.is_row:
                self.fields[figure.name] = field_of(figure)
            if figure.name in self.fields and not figure.is_row:
                self.initial.setdefault(figure.name, self.instance.value.get(figure.name, figure.default))
        self.order_fields(self._order())

    def _order(self) -> list[str]:
        places = {name: place for place, name in enumerate(self.declared)}
        last = len(places)
        return sorted(
            self.fields,
            key=lambda name: (not self._is_numbered(name), self._balloon(name), places.get(name, last)),
        )

    def _is_numbered(self, name: str) -> bool:
        return name in self.EXTRA or (name in self.declared and self.declared[name].is_numbered)

    def _balloon(self, name: str) -> int:
        return self.EXTRA.get(name) or (self.declared[name].balloon if name in self.declared else 0)

    def schedule(self) -> Iterator[ScheduleLine]:
        now = self.instance.inputs() if self.released_inputs else {}
        for heading, name in self._under_headings():
            field = self[name]
            yield ScheduleLine(
                balloon=self._balloon(name),
                field=field,
                unit=getattr(field.field, "unit", ""),
                note=self._note(name),
                note_name=f"note-{name}",
                released=self._released(name, field, now),
                heading=heading,
            )

    def groups(self) -> Iterator[ScheduleGroup]:
        """The schedule as the page folds it: the numbered figures, then each heading's."""
        found: list[list[ScheduleLine]] = []
        for line in self.schedule():
            if line.heading or not found:
                found.append([])
            found[-1].append(line)
        for lines in found:
            yield ScheduleGroup(lines[0].heading, tuple(lines))

    @property
    def without_source(self) -> int:
        """How many figures that are given, and have a place for it, do not say where they come from."""
        return sum(
            not line.note and line.field.value() not in (None, "")
            for line in self.schedule()
            if not line.is_words and not hasattr(line.field.field, "columns")
        )

    def _under_headings(self) -> Iterator[tuple[str, str]]:
        """(heading, name): the heading stands at the first field of its group."""
        numbered = [name for name in self.fields if self._is_numbered(name)]
        yield from (("", name) for name in numbered)
        groups: dict[str, list[str]] = {}
        for name in self.fields:
            if name not in numbered:
                groups.setdefault(self.declared[name].group or FURTHER, []).append(name)
        for group, names in sorted(groups.items(), key=lambda each: each[0] == FURTHER):
            for at, name in enumerate(names):
                yield (group if at == 0 else ""), name

    def _note(self, name: str) -> str:
        if self.is_bound and f"note-{name}" in self.data:
            return str(self.data[f"note-{name}"])
        return str((self.instance.notes or {}).get(name, ""))

    def _released(self, name: str, field: BoundField, now: Mapping[str, Any]) -> str:
        """The released number where the draft differs from it."""
        if name not in self.released_inputs or isinstance(self.released_inputs[name], (list, dict)):
            return ""
        released = self.released_inputs[name]
        if released == now.get(name):
            return ""
        shown = f"{released:.6g}" if isinstance(released, float) else str(released)
        return f"released: {shown} {getattr(field.field, 'unit', '')}".strip()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        self.instance.notes = self._clean_notes()
        return cleaned

    def _post_clean(self) -> None:
        """The draft takes the figures together, once each is good."""
        super()._post_clean()  # type: ignore[misc]  # Django's own hook for this; its types leave it out
        if self.errors:
            return
        try:
            own = {name: self.cleaned_data[name] for name in self.declared if name in self.cleaned_data}
            self.instance.change(**{name: own[name] for name in own if not self.declared[name].is_row})
        except InputError as error:
            self.add_input_error(error)

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
