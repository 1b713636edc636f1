"""What a browser does with one form, and another person meanwhile; and the table of every form."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from installs.jobs.models import Job
from installs.people.models import User
from tests.house.page_forms import PageForm, forms_of
from tests.house.test_bad_input import counts, demo, in_the_database  # noqa: F401  (fixtures)


@dataclass
class Case:
    """One form: the page it stands on, where it posts, and what is typed over what stands in it.

    ``meanwhile`` is what another person does to the same row after the page was read, and ``both`` says
    whether both changes stand in the end. A form that adds a row has neither.
    """

    page: str
    typed: dict[str, Any] = field(default_factory=dict)
    action: str = ""
    meanwhile: Callable[[], Any] | None = None
    both: Callable[[], bool] = lambda: True
    by: str = "office"
    over: bool = False  # what the other did leaves nothing to do

    def form(self, html: str) -> PageForm:
        plain = {name for name in self.typed if name not in BUTTONS}
        path = self.page.partition("?")[0]
        found = [f for f in forms_of(html, path) if at(f) == (self.action or path) and plain <= f.names]
        pressed = {(n, v) for n, v in self.typed.items() if n in BUTTONS}
        return next((f for f in found if pressed <= set(f.buttons)), found[0])

    def data(self, form: PageForm) -> dict[str, Any]:
        typed = {n: SimpleUploadedFile(*v) if isinstance(v, tuple) else v for n, v in self.typed.items()}
        return {**form.filled(), **typed}


def at(form: PageForm) -> str:
    return form.action.partition("#")[0]


BUTTONS = {"save", "add", "end", "add-card", "add-record", "add-chart", "do", "kind"}
CASES: dict[str, Callable[[Job], Case]] = {}


def of(*names: str) -> Callable[[Callable[[Job], Case]], Callable[[Job], Case]]:
    """The case of the view with this name; where one view has several forms, "name: form"."""

    def keep(make: Callable[[Job], Case]) -> Callable[[Job], Case]:
        CASES.update(dict.fromkeys(names, make))
        return make

    return keep


def alma() -> User:
    return User.objects.get(username="alma")


def changed(row: Any, **fields: Any) -> Callable[[], Any]:
    return lambda: type(row)._base_manager.filter(pk=row.pk).update(**fields)


def stands(row: Any, **fields: Any) -> Callable[[], bool]:
    return lambda: type(row)._base_manager.filter(pk=row.pk, **fields).exists()
