from __future__ import annotations

from calendar import month_name
from typing import Any

from django import forms

from crew.plan.forms import RowField
from crew.solver.chance import LIFT_PCT, POUR_PCT, Assumed, from_allowance
from crew.solver.models import TentativePlan
from crew.solver.services import terms_of
from sitecalc.inputs import InputError

ASSUMED = "assumed: common practice, no source"
LEAST_PCT, MOST_PCT = 5.0, 100.0
MONTHS = range(1, 13)
OTHERS: dict[str, tuple[str, float, float]] = {
    "strength_mean_pct": (
        "Strength at the end of the curing days, mean, percent of what is required",
        50.0,
        200.0,
    ),
    "strength_spread_pct": ("Its standard deviation, percent", 0.0, 50.0),
    "strength_gain_pct": ("What one more day adds, percent", 0.1, 20.0),
    "inspector_least": ("Inspector late, working days, at the least", 0.0, 30.0),
    "inspector_usual": ("Usually", 0.0, 30.0),
    "inspector_most": ("At the most", 0.0, 60.0),
}


def proposed(of: TentativePlan | None) -> tuple[Assumed, dict[str, str]]:
    """What is assumed before anybody types, and how each of it is known."""
    lift, known = list(LIFT_PCT), {}
    if of is not None:
        for n, days in enumerate(terms_of(of).by_month):
            given = from_allowance(days)
            if given is not None:
                lift[n] = given
                many = f"{days} day{'s' if days > 1 else ''}"
                known[f"lift_{n + 1}"] = (
                    f"{of} keeps {many} free behind a lift, read as the days lost on the mean"
                )
    return Assumed(lift_pct=tuple(lift), pour_pct=POUR_PCT), known


def typed_of(assumed: Assumed) -> dict[str, float]:
    """By the name of its field."""
    found = {f"lift_{month}": assumed.lift_pct[month - 1] for month in MONTHS}
    found |= {f"pour_{month}": assumed.pour_pct[month - 1] for month in MONTHS}
    return found | {name: getattr(assumed, name) for name in OTHERS}


class ChanceForm(forms.Form):
    """Of which plan, and what is assumed."""

    of = RowField(
        TentativePlan.objects.exclude(days=[]),
        required=False,
        empty_label="crew days as they stand",
        label="Of",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for kind in ("lift", "pour"):
            for month in MONTHS:
                self.fields[f"{kind}_{month}"] = forms.FloatField(
                    label=month_name[month], min_value=LEAST_PCT, max_value=MOST_PCT
                )
        for name, (label, low, high) in OTHERS.items():
            self.fields[name] = forms.FloatField(label=label, min_value=low, max_value=high)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors:
            try:
                _ = self.assumed.unknowns
            except InputError as error:
                name = "inspector_usual" if error.field == "usual" else "strength_gain_pct"
                self.add_error(name, error.message)
        return cleaned

    @property
    def assumed(self) -> Assumed:
        given = self.cleaned_data
        return Assumed(
            lift_pct=tuple(given[f"lift_{month}"] for month in MONTHS),
            pour_pct=tuple(given[f"pour_{month}"] for month in MONTHS),
            **{name: given[name] for name in OTHERS},
        )

    def known(self, initials: str) -> dict[str, str]:
        """How each is known: as it was proposed, or as it was typed over that."""
        assumed, said = proposed(self.cleaned_data["of"])
        return {
            name: said.get(name, ASSUMED) if self.cleaned_data[name] == value else f"as typed by {initials}"
            for name, value in typed_of(assumed).items()
        }

    def lifts(self) -> list[forms.BoundField]:
        return [self[f"lift_{month}"] for month in MONTHS]

    def pours(self) -> list[forms.BoundField]:
        return [self[f"pour_{month}"] for month in MONTHS]

    def others(self) -> list[forms.BoundField]:
        return [self[name] for name in OTHERS]
