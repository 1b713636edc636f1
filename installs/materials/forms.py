"""One quote, typed in: its day, its source, and a price beside each good. And a valuation of the work."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django import forms
from django.http import QueryDict

from installs.jobs.material_lines import Good
from installs.materials.models import DOLLARS, Covers, Price, Valuation
from installs.materials.pricing import Cost
from installs.measures import QuantityInput, WithinRange, plain_words, sane_day
from installs.typed import RowForm
from sitecalc.wording import dollar_words, unit_words

MOST_USD, MOST_GOODS = 1_000_000, 1_000
MOST_VALUATION_USD = 10_000_000


class QuoteForm(forms.Form):
    """``goods`` in their order; a field left empty leaves the good's price as it is."""

    quoted_on = forms.DateField(
        label="Quoted on",
        validators=[sane_day],
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    source = forms.CharField(
        label="Quote or invoice",
        max_length=120,
        validators=[plain_words],
        help_text="Supplier and number: both stand beside every price that is typed below.",
    )

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        goods: Iterable[Good],
        prices: Mapping[Good, Price],
        today: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.today, self.prices = today, prices
        # a page that was read before the lists changed is answered for the goods that it showed
        self.goods = list(goods) if data is None else _shown(data.getlist("good"))
        within = [WithinRange(0, MOST_USD, DOLLARS)]
        for good in self.goods:
            label = f"{good.name}, $ a {unit_words(good.unit)}"
            self.fields[field_name(good)] = QuantityInput(label=label, required=False, validators=within)

    @property
    def rows(self) -> list[tuple[str, Good, Price | None, forms.BoundField]]:
        """(what the page sends back of the good, the good, its price so far, the field)."""
        return [
            (json.dumps([good.name, good.unit]), good, self.prices.get(good), self[field_name(good)])
            for good in self.goods
        ]

    @property
    def typed(self) -> dict[Good, float]:
        """The prices that were typed, of a valid form."""
        given = ((good, self.cleaned_data.get(field_name(good))) for good in self.goods)
        return {good: float(usd) for good, usd in given if usd is not None}

    def clean_quoted_on(self) -> date:
        day: date = self.cleaned_data["quoted_on"]
        if day > self.today:
            raise forms.ValidationError("A quote of a day to come: enter it when it is there.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not self.typed:
            raise forms.ValidationError("No price was typed: enter at least one beside its good.")
        return cleaned


def field_name(good: Good) -> str:
    """The same for the same good, wherever it stands in a list."""
    return "usd_" + hashlib.sha256(f"{good.name}|{good.unit}".encode()).hexdigest()[:12]


def _shown(told: list[str]) -> list[Good]:
    """The goods that a page sent back; what is none is left out."""
    found = []
    for text in told[:MOST_GOODS]:
        try:
            name, unit = json.loads(text)
            plain_words(name)
            plain_words(unit)
        except (ValueError, TypeError, forms.ValidationError):
            continue
        if isinstance(name, str) and isinstance(unit, str) and 0 < len(name) <= 160 and len(unit) <= 12:
            found.append(Good(name, unit))
    return list(dict.fromkeys(found))


class ValuationForm(RowForm[Valuation]):
    """What the work is valued at. By the price basis it is the sum of the material lists, typed by nobody."""

    usd = QuantityInput(
        label="Amount, $",
        required=False,
        validators=[WithinRange(1, MOST_VALUATION_USD, DOLLARS)],
        help_text="Leave it empty to take the sum of the price basis.",
    )

    class Meta:
        model = Valuation
        fields = ["covers", "said_by", "said_on"]
        widgets = {"said_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    field_order = ["covers", "usd", "said_by", "said_on"]

    def __init__(self, *args: Any, cost: Cost, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.cost, self.today = cost, today

    def clean_said_on(self) -> date:
        day: date = self.cleaned_data["said_on"]
        if day > self.today:
            raise forms.ValidationError("A day to come: enter it when it is said.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        usd, covers = cleaned.get("usd"), cleaned.get("covers")
        if "usd" in self.errors or covers is None:
            return cleaned
        if covers == Covers.PRICE_BASIS:
            cleaned["usd"] = self._of_price_basis(usd)
        elif usd is None:
            self.add_error("usd", "How much? An amount that is not known is left out, not entered as 0.")
        return cleaned

    def _of_price_basis(self, typed: float | None) -> float | None:
        """The sum, where every line has a price; else what is missing is said at the amount."""
        cost = self.cost
        if not cost.is_whole or cost.usd < 1:
            why = f"{cost.unpriced} of {cost.of} lines have no price" if cost.of else "nothing is released"
            self.add_error("usd", f"The price basis gives no sum: {why}. Type an amount that somebody says.")
        elif typed is not None and round(typed, 2) != round(cost.usd, 2):
            self.add_error("usd", f"By the price basis it is {dollar_words(cost.usd)}: leave this empty.")
        return cost.usd

    def save(self, commit: bool = True) -> Valuation:
        self.instance.amount_cents = round(self.cleaned_data["usd"] * 100)
        return super().save(commit=commit)
