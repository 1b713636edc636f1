"""What a review of the tower finds, as it is frozen on release and drawn again from the release."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sitecalc.inputs import build
from sitecalc.tower.bolting import Pass
from sitecalc.tower.resonance import Band

LEG_LETTERS = "ABCD"


@dataclass(frozen=True, kw_only=True)
class Head:
    """What stands on the tower, from the turbine's design; ``hub_ft`` above grade. None: not given there."""

    weight_lb: float
    blades: int
    rotor_diameter_ft: float | None
    hub_above_top_ft: float
    center_above_top_ft: float
    speed_low_rpm: float | None
    speed_high_rpm: float | None
    overspeed_rpm: float | None
    hub_ft: float | None
    thrust_kip: float | None
    source: str

    def as_json(self) -> dict[str, Any]:
        return dict(vars(self))


@dataclass(frozen=True, kw_only=True)
class SectionFacts:
    """One section; ``bottom_ft`` and ``center_ft`` are heights above the foot."""

    number: int
    bottom_ft: float
    length_ft: float
    bottom_in: float
    top_in: float
    weight_lb: float
    center_ft: float

    @property
    def top_ft(self) -> float:
        return self.bottom_ft + self.length_ft


@dataclass(frozen=True, kw_only=True)
class JointFacts:
    """One splice and its bolts. ``legs`` is empty for a tube, whose bolts stand on one circle."""

    number: int
    at_ft: float
    legs: tuple[str, ...]
    bolts_per_leg: int
    size: str
    grade: str
    tightening: str
    passes: tuple[Pass, ...]

    @property
    def title(self) -> str:
        return f"Joint {self.number}, splice at {self.at_ft:g} ft"

    @property
    def bolts(self) -> tuple[str, ...]:
        """ "A1" to "D6" by leg; "1" to "24" on a tube."""
        marks = range(1, self.bolts_per_leg + 1)
        if not self.legs:
            return tuple(str(n) for n in marks)
        return tuple(f"{leg}{n}" for leg in self.legs for n in marks)

    @property
    def last_pass(self) -> Pass:
        return self.passes[-1]

    def subject(self, number: int, bolt: str = "") -> str:
        """What an entry of this joint, pass and bolt names as its subject."""
        return f"joint {self.number} pass {number}" + (f" bolt {bolt}" if bolt else "")

    def checked_at_least(self) -> int:
        """Bolts a second person checks: one in ten, two at least."""
        return min(len(self.bolts), max(2, -(-len(self.bolts) // 10)))


@dataclass(frozen=True)
class Variant:
    what: str
    hz: float


@dataclass(frozen=True)
class Swing:
    """How far the first mode leans at a height, top 1."""

    height_ft: float
    lean: float


@dataclass(frozen=True, kw_only=True)
class FrequencyFacts:
    first_hz: float
    fixed_foot_hz: float
    least_spring_kip_ft: float | None
    stiffness: str
    bands: tuple[Band, ...]
    variants: tuple[Variant, ...]
    shape: tuple[Swing, ...]


@dataclass(frozen=True, kw_only=True)
class ReactionFacts:
    """At the foot. ``strength_*`` are at strength level (LRFD), None where no factor is given.

    ``pull_kip`` and ``push_kip`` are of one leg, strength level, greatest over all directions.
    """

    kind: str
    source: str
    moment_kip_ft: float
    shear_kip: float
    strength_moment_kip_ft: float | None
    strength_shear_kip: float | None
    pull_kip: float | None
    push_kip: float | None
    direction: str


@dataclass(frozen=True, kw_only=True)
class EstimateFacts:
    """Rough base reactions by ASCE 7, strength level; the head's push is 0 where its maker states none."""

    moment_kip_ft: float
    shear_kip: float
    tower_moment_kip_ft: float
    thrust_kip: float
    said: str


@dataclass(frozen=True, kw_only=True)
class TowerFacts:
    """A reviewed tower. ``dead_kip`` is tower and turbine; None while the turbine's weight is not known."""

    kind: str
    legs: int
    height_ft: float
    weight_lb: float
    center_ft: float
    dead_kip: float | None
    leg_spacing_ft: float
    anchor_bolts: int
    anchor_pattern_in: float
    plumb_limit_in: float
    assembly_hours: float | None
    sections: tuple[SectionFacts, ...]
    joints: tuple[JointFacts, ...]
    head: Head | None
    reactions: ReactionFacts | None
    frequency: FrequencyFacts | None
    estimate: EstimateFacts | None = None

    @property
    def bolt_count(self) -> int:
        return sum(len(joint.bolts) for joint in self.joints)


def released_facts(revision: Any) -> TowerFacts:
    """The facts of a released tower, from its frozen results."""
    facts: TowerFacts = build(TowerFacts, revision.results)
    return facts


def joints(revision: Any) -> tuple[JointFacts, ...]:
    """Joints, bolts and passes of a released tower, for torque log, phone and papers."""
    return released_facts(revision).joints
