from __future__ import annotations

from datetime import datetime, time, timedelta, tzinfo
from typing import Any

from django import forms
from django.db.models import Case, CharField, Count, F, Q, QuerySet, Value, When, Window
from django.db.models.functions import Cast, Concat, RowNumber, TruncHour

from installs.people.firm_log import KINDS, MANY
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

    each = forms.BooleanField(label="Each refusal on a line of its own", required=False)

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

    def folded(self, zone: tzinfo) -> QuerySet[FirmEvent]:
        """Of the refusals of one person, or one name that was tried, within an hour the newest, with
        ``alike``, how many there were; every other line is one."""
        found = self.lines(zone)
        if self.is_bound and self.is_valid() and self.cleaned_data["each"]:
            return found.annotate(alike=Value(1))
        hour = Cast(TruncHour("at"), CharField())
        apart = Cast("sequence", CharField())
        many = Concat("verb", Value("/"), "who", Value("/"), hour, output_field=CharField())
        fold = Case(When(verb__in=MANY, then=many), default=apart, output_field=CharField())
        found = found.annotate(fold=fold).annotate(
            alike=Window(Count("*"), partition_by=[F("fold")]),
            place=Window(RowNumber(), partition_by=[F("fold")], order_by=[F("sequence").desc()]),
        )
        return found.filter(place=1)
