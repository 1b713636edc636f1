"""The forms of a page as a browser sees them: where they post, their fields, and what they hold."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Field:
    """One input of a form. ``kind`` is the input's type, "select", "textarea", or "number" for figures."""

    name: str
    kind: str
    value: str = ""
    options: list[str] = field(default_factory=list)


@dataclass
class PageForm:
    action: str
    fields: list[Field] = field(default_factory=list)
    buttons: list[tuple[str, str]] = field(default_factory=list)

    @property
    def names(self) -> frozenset[str]:
        return frozenset(f.name for f in self.fields)

    def hidden(self) -> dict[str, str]:
        """Its own id, and what of the page it sends back."""
        return {f.name: f.value for f in self.fields if f.name in ("form_id", "drawn_from", "seen")}

    def filled(self) -> dict[str, list[str]]:
        """What a browser would post if nothing were touched; files are left out."""
        data: dict[str, list[str]] = {}
        for one in self.fields:
            if one.kind != "file":
                data.setdefault(one.name, []).append(one.value)
        return data


class _Reader(HTMLParser):
    def __init__(self, path: str) -> None:
        super().__init__()
        self.path, self.forms = path, []
        self.form: PageForm | None = None
        self.open: Field | None = None  # a select or textarea

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            if told.get("method", "").lower() == "post":
                self.form = PageForm(told.get("action") or self.path)
                self.forms.append(self.form)
        elif self.form is None:
            return
        elif tag == "button" and told.get("type", "submit") == "submit":
            self.form.buttons.append((told.get("name", ""), told.get("value", "")))
        elif tag == "option" and self.open is not None and self.open.kind == "select":
            self.open.options.append(told.get("value", ""))
            if "selected" in told:
                self.open.value = told.get("value", "")
        elif tag in ("input", "select", "textarea") and told.get("name"):
            self._field(tag, told)

    def _field(self, tag: str, told: dict[str, str]) -> None:
        kind = told.get("type", "text") if tag == "input" else tag
        if told.get("inputmode") in ("decimal", "numeric"):
            kind = "number"
        if kind == "submit" or told["name"] == "csrfmiddlewaretoken":
            return
        one = Field(told["name"], kind, told.get("value", ""))
        if kind in ("checkbox", "radio") and "checked" not in told:
            one.options, one.value = [told.get("value", "on")], ""
        self.form.fields.append(one)
        self.open = one if tag in ("select", "textarea") else None

    def handle_data(self, data: str) -> None:
        if self.open is not None and self.open.kind == "textarea":
            self.open.value += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.form = None
        if tag in ("select", "textarea"):
            self.open = None


def forms_of(html: str, path: str) -> list[PageForm]:
    """The forms of a page that post; one without an action posts to the page's own path."""
    reader = _Reader(path)
    reader.feed(html)
    return reader.forms
