"""Bolted joints of a tower: target torque, tension at that torque, passes, strength under the leg's load.

Torque is a poor measure of tension: T = K D F, and K scatters. In structural joints that must be pretensioned
(RCSC) a torque from a table is not allowed at all; there the nut's turn is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable, worst_first
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.tower.bolt_strength import BoltLoad, load_checks
from sitecalc.tower.bolt_tables import (
    STRUCTURAL,
    Condition,
    Edition,
    Faces,
    Grade,
    NutFactor,
    Strength,
    Thread,
    Threaded,
    nut_factor,
    pretension_kip,
    strength,
    stress_area_steps,
    thread,
    turn_of_nut,
)
from sitecalc.tower.figures import JointRow, TowerFigures
from sitecalc.tower.words import FirstPass, Tightening

TORQUE_RULE = "IFI Fastener Standards, 5th ed., torque tables: T = K D F, clamp 75 % of proof load"
RCSC = "RCSC Specification for Structural Joints, 8.2"

TORQUE = Rule("torque", "Tension at the target torque", "kip", TORQUE_RULE, Known.READ)
METHOD = Rule("method", "Tightening", "diameters", RCSC, Known.READ)
TURN_OF_NUT = METHOD.stated(source=f"{RCSC}, turn-of-nut table", known=Known.SECONDARY)  # the table's file

PROOF = Formula("Fp", "proof load", "Sp*As", "kip")
CLAMP = Formula("F", "clamp", "0.75*Fp", "kip")
FOR_CLAMP = Formula("T", "torque for that clamp", "K*D*F*1000/12", "ft-lb")
AT_TORQUE = Formula("F at T", "tension at the target torque", "12*T/(K*D)/1000", "kip")
DIAMETERS = Formula("L/D", "bolt's length in diameters", "L/D", "diameters")


@dataclass(frozen=True, kw_only=True)
class Joint:
    """One bolt pattern, all its bolts alike."""

    size: str = same_as(JointRow, "size", required=True)
    grade: Grade = same_as(JointRow, "grade", required=True)
    series: Thread = quantity("", "coarse or fine thread", default="coarse")
    tightening: Tightening = same_as(JointRow, "tightening", default="torque")
    condition: Condition = same_as(TowerFigures, "condition")
    k: float | None = same_as(TowerFigures, "nut_factor")
    k_source: str = quantity("", "source of K", default="")
    target_ft_lb: float | None = same_as(JointRow, "torque_ft_lb")
    grip_in: float | None = same_as(JointRow, "grip_in")
    faces: Faces = quantity("", "slope of the faces under head and nut", default="both faces normal")
    edition: Edition = same_as(TowerFigures, "edition")
    first_pass: FirstPass = same_as(TowerFigures, "first_pass")
    load: BoltLoad = quantity("", "what one bolt carries", default=BoltLoad())


@dataclass(frozen=True)
class Pass:
    """One pass over all bolts: a torque, or what is done instead ("snug", "1/3 turn")."""

    number: int
    words: str
    torque_ft_lb: float | None


@dataclass(frozen=True, kw_only=True)
class JointResult:
    stress_area_in2: float
    proof_load_kip: float
    clamp_kip: float
    torque_ft_lb: float | None
    passes: tuple[Pass, ...]
    checks: tuple[Check, ...]


def torque_ft_lb(k: float, diameter_in: float, tension_lb: float) -> float:
    """Torque in ft-lb that gives a tension, from the nut factor, the diameter in in and the tension in lb.

    T = K D F / 12. K scatters by a quarter and more about its mean: good for the joints of this module, not
    for pretension by RCSC. IFI Fastener Standards, 5th ed.
    """
    return FOR_CLAMP.value(K=k, D=diameter_in, F=tension_lb / 1000)


def tension_lb(k: float, diameter_in: float, torque: float) -> float:
    """Tension in lb at a torque in ft-lb, from the nut factor and the diameter in in.

    F = 12 T / (K D); range and source as of :func:`torque_ft_lb`.
    """
    return 1000 * AT_TORQUE.value(T=torque, K=k, D=diameter_in)


def passes(torque: float, first: FirstPass = "30 %") -> tuple[Pass, ...]:
    """Three passes to a torque in ft-lb: snug or 30 %, 70 %, 100 %; the early ones to the nearest 5 ft-lb.

    Common practice, no source.
    """
    begin = Pass(1, "snug", None) if first == "snug" else _share(1, 0.30, torque)
    return (begin, _share(2, 0.70, torque), Pass(3, f"{readable(torque)} ft-lb", torque))


def _share(number: int, share: float, torque: float) -> Pass:
    rounded = max(5.0, 5.0 * round(share * torque / 5.0)) if torque > 25 else round(share * torque, 1)
    return Pass(number, f"{readable(rounded)} ft-lb", rounded)


def joint(case: Joint) -> JointResult:
    """Torque in ft-lb, passes, tension in kip and checks of one joint. InputError for bad figures.

    By torque T = K D F with F 75 % of the proof load (IFI); by turn of nut and by calibrated wrench the
    minimum pretension of AISC 360 Table J3.1, A325 and A490 only, up to 12 diameters (RCSC 8.2).
    """
    require_valid(case)
    bolt, steel = thread(case.size, case.series), strength(case.grade, case.size)
    _require(case)
    return _by_torque(case, bolt, steel) if case.tightening == "torque" else _by_rcsc(case, bolt, steel)


def _require(case: Joint) -> None:
    if case.k is not None and not case.k_source.strip():
        raise InputError("k_source", "is missing; say where this nut factor is from.")
    if case.tightening != "torque" and case.grade not in STRUCTURAL:
        raise InputError(
            "tightening", f"by {case.tightening} is for A325 and A490 only; {case.grade} is set by torque."
        )


def factor(case: Joint) -> NutFactor:
    """The nut factor in use and where it is from."""
    if case.k is not None:
        return NutFactor(case.k, case.k_source.strip(), Known.READ)
    return nut_factor(case.condition)


def _by_torque(case: Joint, bolt: Threaded, steel: Strength) -> JointResult:
    k = factor(case)
    proof = PROOF.step(Sp=steel.proof_ksi, As=bolt.stress_area_in2)
    clamp = CLAMP.step(Fp=proof.value)
    exact = FOR_CLAMP.step(K=k.k, D=bolt.diameter_in, F=clamp.value)
    target = case.target_ft_lb if case.target_ft_lb is not None else _rounded_down(exact.value)
    tension = AT_TORQUE.step(T=target, K=k.k, D=bolt.diameter_in)
    steps = (*stress_area_steps(case.size, case.series), proof, clamp, exact, tension)
    checks = [_tension_at_torque(case, k, steel, clamp.value, target, steps)]
    if case.grade in STRUCTURAL:
        why = (
            f"{case.grade} by a torque from a table is not allowed where the joint must be pretensioned; "
            "counts only where the engineer has it snug-tight."
        )
        checks.append(METHOD.open(why))
    checks += load_checks(case.load, bolt, steel, tension.value)
    return JointResult(
        stress_area_in2=bolt.stress_area_in2,
        proof_load_kip=proof.value,
        clamp_kip=tension.value,
        torque_ft_lb=target,
        passes=passes(target, case.first_pass),
        checks=tuple(worst_first(checks)),
    )


def _rounded_down(torque: float) -> float:
    """To 5 ft-lb downward, so that rounding never asks for more than the clamp; small ones to 1."""
    step = 5.0 if torque >= 50 else 1.0
    return max(1.0, step * math.floor(torque / step + 1e-9))


def _torque_rule(k: NutFactor, steel: Strength) -> Rule:
    """The rule with the sources of the nut factor and of the grade's proof stress."""
    return TORQUE.stated(
        source=f"{TORQUE_RULE}; {steel.source}; K {k.k:g} from {k.source}",
        known=Known.MEMORY if Known.MEMORY in (k.known, steel.known) else Known.READ,
    )


def _tension_at_torque(
    case: Joint, k: NutFactor, steel: Strength, clamp: float, target: float, steps: tuple[Step, ...]
) -> Check:
    tension = steps[-1].value
    return _torque_rule(k, steel).compare(
        demand=tension,
        capacity=clamp,
        case=case.condition if case.k is None else f"K {case.k:g}",
        note=f"{readable(target)} ft-lb gives about {readable(tension)} kip at K {k.k:g}, "
        f"at most {readable(clamp)} kip, 75 % of proof.",
        steps=steps,
    )


def _by_rcsc(case: Joint, bolt: Threaded, steel: Strength) -> JointResult:
    required = pretension_kip(case.grade, case.size, case.edition)
    turns = None if case.grip_in is None else turn_of_nut(case.grip_in, bolt.diameter_in, case.faces)
    by_turn = case.tightening == "turn of nut"
    checks = [_turn_check(case, bolt, turns) if by_turn else _calibrated_check(required)]
    checks += load_checks(case.load, bolt, steel, required)
    last = Pass(2, f"{turn_words(turns)} from snug" if by_turn else "the day's torque", None)
    return JointResult(
        stress_area_in2=bolt.stress_area_in2,
        proof_load_kip=PROOF.value(Sp=steel.proof_ksi, As=bolt.stress_area_in2),
        clamp_kip=required,
        torque_ft_lb=None,
        passes=(Pass(1, "snug", None), last),
        checks=tuple(worst_first(checks)),
    )


def turn_words(turns: float | None) -> str:
    """ "1/3 turn"; "turn by test" where the table ends or the length is not given."""
    names = {2: "1/3", 3: "1/2", 4: "2/3", 5: "5/6", 6: "1"}
    return "turn by test" if turns is None else f"{names[round(turns * 6)]} turn"


def _turn_check(case: Joint, bolt: Threaded, turns: float | None) -> Check:
    if case.grip_in is None:
        return TURN_OF_NUT.open("The bolt's length is not given.")
    length = DIAMETERS.step(L=case.grip_in, D=bolt.diameter_in)
    return TURN_OF_NUT.compare(
        demand=length.value,
        capacity=12,
        note=f"{turn_words(turns)} from snug, {case.faces}; "
        f"bolt {readable(length.value)} diameters long, the table ends at 12.",
        steps=(length,),
    )


def _calibrated_check(required: float) -> Check:
    return METHOD.open(
        "Calibrated wrench: its torque is found each day on at least 3 bolts of the lot "
        f"in a tension calibrator, to 1.05 x {readable(required)} kip."
    )
