from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from installs.files.services import bounded
from installs.jobs.design_forms import DesignForm
from installs.turbine.curves import HEAD, curve_text, read_curve
from installs.turbine.models import TurbineDesign, TurbineModel
from installs.typed import RowForm, field_as, offer_rows


class TurbineForm(DesignForm[TurbineDesign]):
    class Meta:
        model = TurbineDesign
        fields = ("model",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # an archived machine stays with the job that has it
        kept = Q(archived_on=None) | Q(pk=self.instance.model_id)
        offer_rows(self, "model", TurbineModel.objects.filter(kept))
        field_as(self, "model", forms.ModelChoiceField).empty_label = "none chosen"


class ModelForm(RowForm[TurbineModel]):
    """A machine of the catalogue; its power curve typed, pasted, or from a file that wins over the text."""

    curve_file = forms.FileField(label="Power curve, CSV file", required=False)
    curve_rows = forms.CharField(
        label="Power curve",
        required=False,
        max_length=20_000,
        help_text=HEAD,
        widget=forms.Textarea(attrs={"rows": 14, "spellcheck": "false"}),
    )

    class Meta:
        model = TurbineModel
        fields = [
            f.name
            for f in TurbineModel._meta.concrete_fields
            if f.name not in ("id", "curve", "archived_on", "archived_by")
        ]
        labels = {
            "regulates_speed": "Rotor speed depends on the output circuit",
            "brake": "Stopping means without the grid",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["curve_rows"].initial = curve_text(self.instance.curve)
        holds = forms.NullBooleanSelect()
        holds.choices = [("unknown", "not known"), ("true", "yes"), ("false", "no")]
        self.fields["regulates_speed"].widget = holds

    def clean_blades(self) -> int:
        count: int = self.cleaned_data["blades"]
        if not 1 <= count <= 6:
            raise ValidationError(f"{count} blades; 1 to 6 are accepted.")
        return count

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        self._in_order(cleaned)
        field, content = "curve_rows", cleaned.get("curve_rows", "").encode()
        try:
            if cleaned.get("curve_file"):
                field, content = "curve_file", bounded(cleaned["curve_file"])
            if "curve_file" not in self.errors and "curve_rows" not in self.errors:
                self.instance.curve = read_curve(
                    content,
                    diameter_ft=cleaned.get("rotor_diameter_ft"),
                    cut_in_mph=cleaned.get("cut_in_mph"),
                )
        except ValidationError as error:
            self.add_error(field, error)
        return cleaned

    def _in_order(self, cleaned: dict[str, Any]) -> None:
        """Figures that must not contradict each other."""
        for low, high, words in (
            ("speed_low_rpm", "speed_high_rpm", "lowest speed"),
            ("speed_high_rpm", "overspeed_rpm", "highest speed of operation"),
            ("cut_in_mph", "cut_out_mph", "cut-in speed"),
            ("rotor_weight_lb", "head_weight_lb", "rotor alone"),
        ):
            least, most = cleaned.get(low), cleaned.get(high)
            if least is not None and most is not None and least > most:
                self.add_error(high, f"{most:g} is less than the {words}, {least:g}.")
