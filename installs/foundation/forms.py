from __future__ import annotations

from typing import Any

from django import forms

from installs.foundation.models import FoundationDesign
from installs.foundation.tower import Given, tower_of
from installs.jobs.design_forms import DesignForm
from installs.typed import offer, offered
from sitecalc.checks import readable

# fields that an empty value takes from the tower's design
FROM_TOWER = (
    "base", "leg_spacing_ft", "anchor_per_leg", "anchor_pattern_in", "dead_kip", "moment_kip_ft",
    "shear_kip", "load_kind",
)  # fmt: skip
WIND = frozenset({"moment_kip_ft", "shear_kip", "load_kind"})
LONG = 14  # letters of a choice beside which there is no room for more


class FoundationForm(DesignForm[FoundationDesign]):
    class Meta:
        model = FoundationDesign
        fields: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        given = tower_of(self.instance.job)
        for name in FROM_TOWER:
            self._say_given(name, given)

    def _offer_empty(self, name: str, words: str) -> None:
        offer(self, name, [("", words), *(choice for choice in offered(self, name) if choice[0] != "")])

    def _say_given(self, name: str, given: Given | None) -> None:
        """An empty field shows what the tower's design gives in its place."""
        field, value = self.fields[name], getattr(given, name) if given else None
        if name == "anchor_pattern_in" and given is None:
            return
        if value in (None, ""):
            field.help_text = "Not given by the tower's design."
            return
        said = readable(value) if isinstance(value, float) else str(value)
        if isinstance(field, forms.TypedChoiceField):
            # the note beside it says the tower's design too
            self._offer_empty(name, said if len(said) > LONG else f"{said}, tower")
        else:
            field.widget.attrs["placeholder"] = said
        assert given is not None
        field.help_text = f"Empty: {given.source}."
