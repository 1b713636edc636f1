"""The lines of one joint on the paper torque log: its passes, bolts with a line of their own, the check."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.checklists.paper_line import HeadForm, PaperLine, clock_field, day_input
from installs.measures import QuantityInput, WithinRange, plain_words, sane_day
from installs.people.models import User
from installs.tower.facts import JointFacts
from installs.tower.torque_log import CHECK_CODE, pass_code
from installs.typed import offer
from sitecalc.tower.bolting import Pass

TURNED, NEW, TORQUED = "kept turning", "new bolt", "torqued"
Record = tuple[forms.Form, time, dict[str, Any]]  # where its faults are said, when, what


class WrenchField(forms.CharField):
    """A serial number as on the paper; one we know is written as we know it."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs={"list": "wrenches", "size": 10})
        super().__init__(required=False, max_length=40, validators=[plain_words], widget=widget, **kwargs)
        self.known: Mapping[str, str] = {}  # by small letters

    def clean(self, value: Any) -> str:
        serial: str = super().clean(value)
        return self.known.get(serial.casefold(), serial)


class BoltsField(forms.CharField):
    """ "A1 B4", or all, as the joint's own names."""

    def __init__(self) -> None:
        super().__init__(required=False, max_length=2000, validators=[plain_words])
        self.bolts: tuple[str, ...] = ()

    def clean(self, value: Any) -> list[str]:
        named = re.split(r"[\s,]+", super().clean(value).upper())
        unknown = [name for name in named if name and name not in (*self.bolts, "ALL")]
        if unknown:
            raise ValidationError(f"There is no bolt {unknown[0][:20]} in this joint.")
        return [bolt for bolt in self.bolts if bolt in named or "ALL" in named]


class JointHead(HeadForm):
    """Who torqued is asked, never assumed: a check counts only by somebody else."""

    wrench = WrenchField(label="Torque wrench, serial number")

    def __init__(self, *args: Any, people: Mapping[str, User], **kwargs: Any) -> None:
        super().__init__(*args, people=people, **kwargs)
        offer(self, "by", [("", ""), *((key, person.full_name) for key, person in people.items())])
        by = self.fields["by"]
        by.label = "Who torqued"
        by.error_messages["required"] = "Who torqued it, by the paper?"


class TorqueLine(PaperLine):
    """``on``, ``wrench`` and ``who`` left empty are those of the line above, from the head downward."""

    CARRIED: tuple[str, ...] = ("who", "on")
    marks: Sequence[BoltMark] = ()

    on = forms.DateField(required=False, validators=[sane_day], widget=day_input())
    wrench = WrenchField()

    def __init__(self, *args: Any, joint: JointFacts, called: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.joint, self.called = joint, called
        for field in self.fields.values():
            if isinstance(field, BoltsField):
                field.bolts = joint.bolts

    @property
    def needs_wrench(self) -> bool:
        return True

    def records(self, wrench: str) -> Iterator[Record]:
        """Each entry of the line: where its faults are said, its time, its fields."""
        raise NotImplementedError

    def subject(self, step: Pass, bolt: str = "") -> dict[str, Any]:
        return {
            "code": pass_code(step.number, len(self.joint.passes)),
            "subject": self.joint.subject(step.number, bolt),
            "text": self.cleaned_data["note"],
        }

    def torqued(self, step: Pass) -> dict[str, Any]:
        """What the paper says it was set to, else what is printed there."""
        if step.torque_ft_lb is None:
            return {}
        said = self.cleaned_data.get("torque")
        return {"number": step.torque_ft_lb if said is None else said, "unit": "ft-lb"}


def torque_field() -> QuantityInput:
    return QuantityInput(required=False, unit="ft-lb", validators=[WithinRange(1, 20_000, "ft-lb")])


class BoltMark(forms.Form):
    """The stroke at one nut in the last pass; ``clock`` if it has another time than its line."""

    done = forms.BooleanField(required=False)
    clock = clock_field()

    def __init__(self, *args: Any, bolt: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.bolt, self.called = bolt, f"bolt {bolt}"

    @property
    def _done(self) -> bool:
        return bool(self.data.get(self.add_prefix("done")))

    @property
    def _timed(self) -> bool:
        return bool(str(self.data.get(self.add_prefix("clock"), "")).strip())

    @property
    def filled(self) -> bool:
        return self._done or self._timed

    @property
    def by_its_line(self) -> bool:
        return self._done and not self._timed

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("done"):
            self.add_error("done", "It has a time: tick it, if it was torqued.")
        return cleaned


class PassLine(TorqueLine):
    """An early pass is one entry for the joint with its exceptions; the last is one entry a bolt."""

    torque = torque_field()
    turned = BoltsField()

    def __init__(self, *args: Any, step: Pass, recorded: str, **kwargs: Any) -> None:
        super().__init__(*args, called=f"pass {step.number}", **kwargs)
        self.step, self.recorded = step, recorded
        if step.torque_ft_lb is None:
            del self.fields["torque"]
        if step.number == self.joint.last_pass.number:
            del self.fields["turned"]
            data = self.data if self.is_bound else None
            self.marks = [BoltMark(data, prefix=f"bolt-{b}", bolt=b) for b in self.joint.bolts]

    @property
    def stroked(self) -> list[BoltMark]:
        return [mark for mark in self.marks if mark.filled]

    @property
    def filled(self) -> bool:
        return super().filled or bool(self.stroked)

    @property
    def needs_clock(self) -> bool:
        return not self.stroked or any(mark.by_its_line for mark in self.stroked)

    @property
    def needs_wrench(self) -> bool:
        return self.step.torque_ft_lb is not None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.marks and not self.stroked:
            self.add_error(None, "Tick the bolts that have this stroke: the last pass counts bolt by bolt.")
        return cleaned

    def records(self, wrench: str) -> Iterator[Record]:
        clock = self.cleaned_data["clock"]
        data: dict[str, Any] = {"wrench": wrench}
        if not self.marks:
            turned = self.cleaned_data["turned"]
            data |= {"failed": turned, "torqued": len(self.joint.bolts) - len(turned)}
            yield self, clock, {**self.subject(self.step), **self.torqued(self.step), "data": data}
        for mark in self.stroked:
            said = {**self.subject(self.step, mark.bolt), **self.torqued(self.step), "data": data}
            yield mark, mark.cleaned_data["clock"] or clock, said


class OwnLine(TorqueLine):
    """A bolt that kept turning, was replaced, or was torqued apart from the others."""

    CARRIED = ("who", "on", "step")

    bolt = BoltsField()
    step = forms.ChoiceField(required=False)
    what = forms.ChoiceField(
        required=False, choices=[("", ""), *((what, what) for what in (TURNED, NEW, TORQUED))]
    )
    torque = torque_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "step", [(str(p.number), f"pass {p.number}") for p in self.joint.passes])
        self.fields["step"].initial = str(self.joint.last_pass.number)

    @property
    def _step(self) -> Pass:
        chosen = self.cleaned_data.get("step")
        return next((p for p in self.joint.passes if str(p.number) == chosen), self.joint.last_pass)

    @property
    def needs_wrench(self) -> bool:
        return self.cleaned_data.get("what") == TORQUED and self._step.torque_ft_lb is not None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if "bolt" not in self.errors and len(cleaned.get("bolt") or ()) != 1:
            self.add_error("bolt", "Which bolt? One a line.")
        if "what" not in self.errors and not cleaned.get("what"):
            self.add_error("what", "Kept turning, new bolt, or torqued?")
        if cleaned.get("torque") is not None:
            self._no_torque_where(cleaned.get("what"))
        return cleaned

    def _no_torque_where(self, what: str | None) -> None:
        if what in (TURNED, NEW):
            self.add_error("torque", f"A torque, and yet it says {what}: one of them is wrong.")
        elif self._step.torque_ft_lb is None:
            self.add_error("torque", f"Pass {self._step.number} is {self._step.words}: it has no torque.")

    def records(self, wrench: str) -> Iterator[Record]:
        cleaned = self.cleaned_data
        said, what = self.subject(self._step, cleaned["bolt"][0]), cleaned["what"]
        if what == TORQUED:
            said |= self.torqued(self._step)
        told = {TURNED: {"failed": True}, NEW: {"new_bolt": True}, TORQUED: {}}[what]
        yield self, cleaned["clock"], {**said, "data": {"wrench": wrench, **told}}


class CheckLine(TorqueLine):
    """The second person's check; nothing of it is taken from the lines above but the date."""

    CARRIED = ("on",)
    AS_ABOVE = ""

    bolts = BoltsField()
    moved = BoltsField()

    @property
    def needs_wrench(self) -> bool:
        return False  # it names its own

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not ({"bolts", "moved"} & set(self.errors) or cleaned.get("bolts") or cleaned.get("moved")):
            self.add_error("bolts", "Which bolts were checked?")
        if "who" not in self.errors and not cleaned.get("who"):
            self.add_error("who", "Who checked?")
        by_torque = self.joint.last_pass.torque_ft_lb is not None
        if by_torque and "wrench" not in self.errors and not cleaned.get("wrench"):
            self.add_error("wrench", "Checked with which wrench? If the paper does not say: unknown.")
        return cleaned

    def records(self, wrench: str) -> Iterator[Record]:
        cleaned = self.cleaned_data
        data = {"bolts": cleaned["bolts"], "wrench": cleaned["wrench"]}
        if cleaned["moved"]:
            data["failed"] = cleaned["moved"]
        subject = {"code": CHECK_CODE, "subject": f"joint {self.joint.number}", "text": cleaned["note"]}
        yield self, cleaned["clock"], {**subject, "data": data}
