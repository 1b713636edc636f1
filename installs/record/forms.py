from __future__ import annotations

from datetime import datetime, time, timedelta, tzinfo
from typing import Any

from django import forms
from django.db.models import Q, QuerySet

from installs.people.firm_log import KINDS
from installs.people.models import FirmEvent, User
from installs.typed import offer

DAY = forms.DateInput(attrs={"type": "date"})


class LogFilter(forms.Form):
    """What of the firm's log is shown: all of it, where nothing is asked."""

    person = forms.ChoiceField(label="By or about", required=False)
    kind = forms.ChoiceField(
        label="Kind", required=False, choices=[("", "everything"), *((kind, kind) for kind in KINDS)]
    )
    first_on = forms.DateField(label="From", widget=DAY, required=False)
    last_on = forms.DateField(label="To", widget=DAY, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = ((str(pk), name) for pk, name in User.objects.values_list("pk", "full_name"))
        offer(self, "person", [("", "anybody"), *people])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        first, last = cleaned.get("first_on"), cleaned.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", "This is before the first day.")
        return cleaned

    def lines(self, zone: tzinfo) -> QuerySet[FirmEvent]:
        """Those asked for, the newest first; days are those of ``zone``. None while a field is wrong."""
        found = FirmEvent.objects.order_by("-sequence")
        if not self.is_valid():
            return found.none() if self.is_bound else found
        asked = self.cleaned_data
        if asked["person"]:
            found = found.filter(Q(by=asked["person"]) | Q(data__person=int(asked["person"])))
        if asked["kind"]:
            found = found.filter(verb__in=KINDS[asked["kind"]])
        if asked["first_on"]:
            found = found.filter(at__gte=datetime.combine(asked["first_on"], time(), zone))
        if asked["last_on"]:
            found = found.filter(at__lt=datetime.combine(asked["last_on"] + timedelta(1), time(), zone))
        return found
