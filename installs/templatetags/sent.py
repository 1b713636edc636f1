"""What a form carries of its page.

``{% sent %}`` where a row is added, ``{% sent row %}`` where one is decided on.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from django import template
from django.db import models

from installs.sent.once import FORM_ID
from installs.sent.seen import Line, carried, of_form, of_row
from installs.typed import RowForm

register = template.Library()


@register.inclusion_tag("installs/sent/_sent.html")
def sent(of: Any = None) -> dict[str, Any]:
    """``of`` is a row's form, a row, or the lines that a decision stands on."""
    hidden = {FORM_ID: str(uuid4()), **_read(of)}
    return {"hidden": hidden, "stale": getattr(of, "stale", None)}


def _read(of: Any) -> Mapping[str, str]:
    if isinstance(of, RowForm):
        return _of_form(of)
    if isinstance(of, models.Model):
        return carried(of_row(of))
    if of and not all(isinstance(each, Line) for each in of.values()):
        told: Mapping[str, str] = of  # as another page carried it
        return told
    # "" is what a page gives that has nothing to say: then whoever decides on it is asked to read it again
    return {} if of is None or of == "" else carried(of)


def _of_form(form: RowForm[Any]) -> Mapping[str, str]:
    """With its faults a form stays the page that was read."""
    if form.stale is not None:
        return carried(form.stale.now)
    if form.instance.pk is None:
        return {}
    if form.is_bound:
        return {name: form.data.get(name, "") for name in ("drawn_from", "seen")}
    return carried(of_form(form))
