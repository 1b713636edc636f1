from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from installs.jobs.catalogue import SHELVES
from installs.jobs.models import DesignRevision
from installs.jobs.parts import TABLE
from installs.kits.models import Kit, SiteQuestion
from installs.typed import offer, offer_rows


class KitForm(forms.Form):
    """Releases of a job under a name."""

    name = forms.CharField(
        label="Name of the kit", max_length=60, help_text="Machine, tower, pad: 15 kW, 100 ft lattice"
    )
    note = forms.CharField(label="What it is for", max_length=160, required=False)
    releases = forms.MultipleChoiceField(label="Releases in it", widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, offered: Sequence[DesignRevision], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words = [(str(r.pk), f"{TABLE[r.part].title} {r.letter}") for r in offered]
        offer(self, "releases", words)
        self.fields["releases"].initial = [key for key, _ in words]


class TakeForm(forms.Form):
    kit = forms.ModelChoiceField(Kit.objects.none(), label="Kit", empty_label="choose")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "kit", Kit.objects.filter(archived_on=None))


class QuestionsForm(forms.Form):
    """What a kit brought along that may be another at this site."""

    questions = forms.MultipleChoiceField(
        label="Looked at, and right for this site", widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, waiting: Sequence[SiteQuestion], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "questions", [(str(q.pk), f"{TABLE[q.part].title}. {q.words}") for q in waiting])


class ShelfForm(forms.Form):
    """A tower or an inverter of a job into the firm's catalogue."""

    kind = forms.ChoiceField(label="What")
    name = forms.CharField(label="Its name, as the maker calls it", max_length=60)

    def __init__(self, *args: Any, kinds: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "kind", [(kind, SHELVES[kind].title) for kind in kinds])
