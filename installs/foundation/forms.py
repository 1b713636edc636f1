from __future__ import annotations

from typing import Any

from django import forms

from installs.foundation.models import FoundationDesign
from installs.foundation.tower import Given, tower_of
from installs.jobs.design_forms import DesignForm
from sitecalc.checks import readable

_BALLOONS = {
    1: ("side_ft",),
    2: ("thickness_ft",),
    3: ("top_above_grade_ft",),
    4: ("frost_ft",),
    5: ("cover_lower_in",),
    6: ("cover_upper_in",),
    7: ("bars", "bar_size"),
    8: ("anchor_per_leg", "anchor_size", "embedment_in"),
    9: ("base", "leg_spacing_ft"),
    10: ("water_ft",),
    11: ("soil",),
    12: ("fc_psi",),
    13: ("dead_kip",),
    14: ("moment_kip_ft", "shear_kip", "load_kind"),
}

# without a number, by what they are of
_GROUPS = {
    "Pad": (
        "outline", "other_side_ft", "backfill_placed", "backfill_pcf", "contact_required_pct",
    ),
    "Pedestal": (
        "pedestal", "pedestal_side_ft", "pedestal_height_ft", "pedestal_bars", "pedestal_bar_size",
        "tie_size", "tie_spacing_in",
    ),
    "Bars": (
        "bars_other", "upper_bar_size", "upper_bars", "upper_bars_other", "bar_ends", "laps_staggered",
        "cover_side_in", "edge_bar_size", "edge_bar_spacing_in", "stock_ft",
    ),
    "Anchor bolts": (
        "anchor_pattern_in", "anchor_grade", "projection_in", "anchor_foot", "anchor_plate_in",
        "anchor_seat", "anchor_gap_in", "base_plate_in", "prying", "anchor_bar_size", "anchor_bars",
        "anchor_bar_away_in", "anchor_bar_foot_in", "template_tolerance_in",
    ),
    "Ground": ("report_bearing_psf", "report_friction", "report_cohesion_psf"),
    "Loads": (
        "torsion_kip_ft", "wind_strength_factor", "reactions_above_ft", "prevailing",
    ),
    "Code": ("concrete_code", "seismic_category"),
}  # fmt: skip

HELP = {
    "side_ft": "Of an octagon across flats, of a round pad the diameter.",
    "other_side_ft": "Empty: the pad is square.",
    "pedestal_side_ft": "One pedestal in the middle carries the whole tower.",
    "bars_other": "Empty: the same number. Only of a rectangle.",
    "upper_bar_size": "Empty: as the lower mat.",
    "upper_bars": "Empty: as the lower mat.",
    "upper_bars_other": "Empty: the same number. Only of a rectangle.",
    "bar_ends": "Hooks where a straight bar does not develop.",
    "edge_bar_size": "Empty: none.",
    "anchor_foot": "Hooks, and one ring for all bolts, are outside ACI 318 chapter 17.",
    "prying": "1: the bolts of a leg carry even shares; the plate's maker says more.",
    "anchor_bar_size": "Empty: concrete alone carries it.",
    "anchor_bar_foot_in": "Empty: down to the lower mat.",
    "wind_strength_factor": "Empty: 1.35 of an IEC gust, 1.6 of a maker's service load (from memory).",
    "seismic_category": "The building official or the soil report says it.",
    "template_tolerance_in": "Tower base plates have tight holes; the tower's drawing says it.",
    "top_above_grade_ft": "Negative: below grade.",
    "frost_ft": "The building official knows it.",
    "cover_lower_in": "Starting layout about 1 ft; least 3 in against earth.",
    "cover_upper_in": "Starting layout about 1 ft; least 2 in, 1.5 in up to #5.",
    "water_ft": "Highest in any season; not known is not checked.",
    "backfill_placed": "It holds the pad down only then.",
    "report_bearing_psf": "Goes before the presumptive value.",
    "contact_required_pct": "The engineer's rule for this job.",
}

# fields that an empty value takes from the tower's design
FROM_TOWER = (
    "base", "leg_spacing_ft", "anchor_per_leg", "anchor_pattern_in", "dead_kip", "moment_kip_ft",
    "shear_kip", "load_kind",
)  # fmt: skip
WIND = frozenset({"moment_kip_ft", "shear_kip", "load_kind"})
LONG = 14  # letters of a choice beside which there is no room for more
# what an empty choice stands for
EMPTY = {
    "pedestal": "none",
    "edge_bar_size": "none",
    "anchor_bar_size": "none",
    "upper_bar_size": "as lower mat",
    "soil": "not given",
    "base": "not given",
    "load_kind": "not given",
    "seismic_category": "not given",
}


class FoundationForm(DesignForm):
    BALLOONS = {name: number for number, names in _BALLOONS.items() for name in names}
    GROUPS = _GROUPS

    class Meta:
        model = FoundationDesign
        exclude = ["job", "notes", "typed", "changed_at", "changed_by"]
        help_texts = HELP

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, words in EMPTY.items():
            self._offer_empty(name, words)
        given = tower_of(self.instance.job)
        for name in FROM_TOWER:
            self._say_given(name, given)
        for name in ("bars", "bars_other", "upper_bars", "upper_bars_other", "anchor_per_leg"):
            self.fields[name].widget = forms.TextInput(
                attrs={**self.fields[name].widget.attrs, "inputmode": "numeric", "size": 7}
            )

    def _offer_empty(self, name: str, words: str) -> None:
        field = self.fields[name]
        field.choices = [("", words), *(c for c in field.choices if c[0] != "")]

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
