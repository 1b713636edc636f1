"""The editable draft of a part: its foreign keys, and its figures as one value of the part's declaration."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, ClassVar, Self

from django.core.exceptions import ValidationError
from django.db import models

from installs.jobs.models import DesignRevision, Job
from sitecalc import figures as declarations
from sitecalc.inputs import InputError


class Draft(models.Model):
    """What every part's design has. A part adds ``job``, its foreign keys, and names its ``FIGURES``.

    ``FIGURES`` is the frozen dataclass in sitecalc that declares the part's figures: it alone says what a
    figure is, its range and its default. ``value`` holds all of them as JSON, the form in which a release
    freezes them; ``notes`` holds, by figure, where a number comes from.
    """

    PART: ClassVar[str]
    FIGURES: ClassVar[type]
    # columns to search and report over jobs by, worked out from the figures at each save
    REPORTED: ClassVar[Mapping[str, Callable[[Any], Any]]] = {}

    if TYPE_CHECKING:
        job: models.ForeignKey[Job, Job]  # each part's own: one draft of a job, or one of each kind

    value = models.JSONField(default=dict)
    notes = models.JSONField(default=dict, blank=True)
    changed_at = models.DateTimeField(null=True, blank=True)
    changed_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Figures may be named beside the columns: ``TowerDesign(job=job, shear_kip=6.9)``."""
        own = set() if args else declarations.names(self.FIGURES) - self._columns()
        given = {name: kwargs.pop(name) for name in own & set(kwargs)}
        super().__init__(*args, **kwargs)
        if not args and not self.value:
            self.value = self._written(given)

    def __setattr__(self, name: str, value: Any) -> None:
        """A figure is changed by change(): set like a column it would be lost."""
        if name in declarations.names(self.FIGURES) and name not in self._every_column():
            raise AttributeError(f"{name} is a figure of the {self.PART}: change({name}=...)")
        super().__setattr__(name, value)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """ValidationError for a value that its declaration does not accept: none is kept."""
        try:
            figures = declarations.checked(self.figures)
        except InputError as error:
            raise ValidationError(f"{self.PART}, {error.field}: {error.message}") from error
        for name, of in self.REPORTED.items():
            setattr(self, name, of(figures))
        super().save(*args, **kwargs)

    @classmethod
    def of(cls, job: Job, **which: Any) -> Self:
        """The job's draft with the catalogue rows it names, or a new unsaved one with the defaults."""
        drafts = cls._default_manager.filter(job=job, **which)
        rows = [f.name for f in cls._meta.concrete_fields if f.is_relation and f.name in cls._rows()]
        found = (drafts.select_related(*rows) if rows else drafts).first() or cls(job=job, **which)
        found.job = job  # the one that was asked for, not another copy of its row
        return found

    @classmethod
    def _rows(cls) -> set[str]:
        return {figure.name for figure in declarations.declared(cls.FIGURES) if figure.is_row}

    @classmethod
    def _columns(cls) -> set[str]:
        """Names that are columns and no figures."""
        return cls._every_column() - set(cls.REPORTED)

    @classmethod
    def _every_column(cls) -> set[str]:
        return {field.name for field in cls._meta.concrete_fields}

    @property
    def figures(self) -> Any:
        """The figures as the part's dataclass. InputError where the value is none of its declaration."""
        words, (value, known, figures) = self.row_words(), self.__dict__.get("_read", (None, None, None))
        if value is not self.value or known != words:
            figures = declarations.read(self.FIGURES, self.value, words)
            self._read = (self.value, words, figures)
        return figures

    def change(self, **figures: Any) -> Self:
        """Other figures, in place; the caller saves. InputError at a figure that is not one."""
        self.value = self._written({**declarations.carry(self.FIGURES, self.value), **figures})
        return self

    def _written(self, given: dict[str, Any]) -> dict[str, Any]:
        plain = {name: declarations.plain(each) for name, each in given.items()}
        return declarations.written(declarations.read(self.FIGURES, plain, self.row_words()))

    def row_words(self) -> dict[str, Any]:
        """What the draft's own columns say in the figures: by the names of those declared as rows."""
        return {name: self._row(name) for name in sorted(self._rows())}

    def _row(self, name: str) -> Any:
        return self._in_column(name)

    def _in_column(self, name: str) -> Any:
        """What a column of its own holds, of a foreign key the key."""
        column = next(field for field in self._meta.concrete_fields if field.name == name)
        return column.value_from_object(self)

    def given(self) -> dict[str, Any]:
        """What other parts give to this one now: said in its row of the table of parts."""
        return {}

    def inputs(self) -> dict[str, Any]:
        """Every figure, its own and given, as JSON: what a release freezes and an acceptance is bound to."""
        return {**self.row_words(), **self.value, "notes": self.notes, **self.given()}


def released_figures(figures: type, revision: DesignRevision) -> Any:
    """The figures of a release, read by the declaration that it was frozen under."""
    return declarations.read(figures, revision.inputs)
