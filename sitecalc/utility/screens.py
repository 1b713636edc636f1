"""Screens of a small generator against the utility's own figures.

Limits: FERC SGIP (Order 792) 2.2.1, as restated in NREL/TP-6A20-72102, pp. 13-19, where a utility gives none
of its own; COMAR 20.50.09.09 and .10 of Maryland give others (fault current 10 % at Level 2, interrupting
90 %). What is not given is not checked. Fault current adds as magnitudes, which is on the safe side.
"""

from __future__ import annotations

from sitecalc.checks import Check, Known, Rule, readable
from sitecalc.formula import Formula
from sitecalc.utility.figures import ScreensCase

SGIP = "FERC SGIP (Order 792)"
SIZE = Rule("process-size", "Size for this process", "kW", f"{SGIP} Attachment 5", Known.SECONDARY)
LINE_SECTION = Rule("line-section", "Line section’s peak", "kW", f"{SGIP} 2.2.1.2", Known.SECONDARY)
SPOT = Rule("spot-network", "Spot network", "kW", f"{SGIP} 2.2.1.3", Known.SECONDARY)
FAULT = Rule("fault-share", "Share of the fault current", "A", f"{SGIP} 2.2.1.4", Known.SECONDARY)
INTERRUPTING = Rule("interrupting", "Interrupting rating", "A", f"{SGIP} 2.2.1.5", Known.SECONDARY)
SHARED = Rule("shared-secondary", "Shared secondary", "kW", f"{SGIP} 2.2.1.7", Known.SECONDARY)
IMBALANCE = Rule("imbalance", "Imbalance on the center tap", "kVA", f"{SGIP} 2.2.1.8", Known.SECONDARY)
APPLIED = Rule(
    "applied-current",
    "Applied power within the wiring",
    "A",
    "the current that runs and breakers are sized for",
    Known.PRACTICE,
)

TOTAL = Formula("P", "all generation with the new", "P_0 + P_new", "kW")
SHARE = Formula("L", "share that is allowed", "p/100*X", "kW")
SPOT_SHARE = Formula("L", "share of the network’s load, capped", "min(p/100*X, most)", "kW")
ON_PRIMARY = Formula("I_p", "the inverter’s fault current on the primary line", "I*V/V_p", "A")
FAULT_TOTAL = Formula("I_f", "all fault current of generation", "I_0 + I_p", "A")
FAULT_SHARE = Formula("L", "share that is allowed", "p/100*I_max", "A")
AT_DEVICE = Formula("I_d", "fault current at the device", "I_0 + I_p", "A")
DEVICE_SHARE = Formula("L", "share of its rating", "p/100*I_r", "A")
KVA_SHARE = Formula("L", "share of the transformer’s rating", "p/100*S", "kVA")
ONE_PHASE_A = Formula("I", "output current", "1000*P/V", "A")
THREE_PHASE_A = Formula("I", "output current", "1000*P/(sqrt(3)*V)", "A")


def output_current(kw: float, volts: float, *, three_phase: bool) -> float:
    """The current that follows from the power at unity power factor, A: P = V I, in three phases with root 3.

    Circuit theory (common practice, no source).
    """
    return (THREE_PHASE_A if three_phase else ONE_PHASE_A).value(P=kw, V=volts)


def applied_current(
    kw: float | None, volts: float | None, *, three_phase: bool, wired_a: float | None
) -> Check:
    """What is applied for against what the wiring was designed for; unknown never passes.

    Common practice, no source.
    """
    if found := _open(
        APPLIED, (kw, NEW), (volts, "the inverter’s voltage"), (wired_a, "its continuous current")
    ):
        return found
    current = (THREE_PHASE_A if three_phase else ONE_PHASE_A).step(P=kw, V=volts)
    return APPLIED.compare(demand=current.value, capacity=wired_a or 0.0, steps=(current,))


def check_screens(case: ScreensCase) -> tuple[Check, ...]:
    """Every screen by the utility's figures; the utility decides.

    FERC SGIP (Order 792) 2.2.1, read in secondary copies (NREL/TP-6A20-72102), or the utility's own limits.
    """
    return (
        _size(case),
        _line_section(case),
        _spot(case),
        _fault(case),
        _interrupting(case),
        _shared(case),
        _imbalance(case),
    )


def _asked(rule: Rule, case: ScreensCase) -> Rule:
    """As this utility states it, where the office has written down from where its limits are."""
    return rule.stated(source=case.source, known=Known.READ) if case.source else rule


def _open(rule: Rule, *missing: tuple[float | None, str]) -> Check | None:
    """Not checked, with all that is not known; None where everything is."""
    words = [name for value, name in missing if value is None]
    return rule.open(f"Not known: {', '.join(words)}.") if words else None


NEW, ASK = "the AC rating", "the utility’s limit"


def _size(case: ScreensCase) -> Check:
    rule = _asked(SIZE, case)
    if found := _open(rule, (case.new_kw, NEW), (case.most_kw, ASK)):
        return found
    return rule.compare(demand=case.new_kw or 0.0, capacity=case.most_kw or 0.0)


def _line_section(case: ScreensCase) -> Check:
    rule = _asked(LINE_SECTION, case)
    missing = (
        (case.new_kw, NEW),
        (case.before_kw, "generation before it"),
        (case.peak_kw, "the section’s peak"),
    )
    if found := _open(rule, *missing, (case.section_pct, ASK)):
        return found
    total = TOTAL.step(P_0=case.before_kw, P_new=case.new_kw)
    share = SHARE.step(p=case.section_pct, X=case.peak_kw)
    return rule.compare(demand=total.value, capacity=share.value, steps=(total, share))


def _spot(case: ScreensCase) -> Check:
    rule = _asked(SPOT, case)
    if case.circuit == "radial":
        return rule.not_asked("The circuit is radial.")
    if case.circuit == "not known":
        return rule.open("Not known: whether the circuit is radial or a spot network.")
    missing = (
        (case.new_kw, NEW),
        (case.network_before_kw, "inverters before it"),
        (case.network_kw, "its load"),
    )
    if found := _open(rule, *missing, (case.network_pct, ASK), (case.network_most_kw, "its cap in kW")):
        return found
    total = TOTAL.step(P_0=case.network_before_kw, P_new=case.new_kw)
    share = SPOT_SHARE.step(p=case.network_pct, X=case.network_kw, most=case.network_most_kw)
    return rule.compare(demand=total.value, capacity=share.value, steps=(total, share))


CONTRIBUTION = "the inverter’s fault current"


def _fault(case: ScreensCase) -> Check:
    rule = _asked(FAULT, case)
    missing = (
        (case.inverter_fault_a, CONTRIBUTION),
        (case.inverter_v, "the inverter’s voltage"),
        (case.primary_v, "the primary’s voltage"),
        (case.fault_before_a, "fault current of generation before it"),
        (case.line_fault_a, "the circuit’s fault current"),
        (case.fault_pct, ASK),
    )
    if found := _open(rule, *missing):
        return found
    new = ON_PRIMARY.step(I=case.inverter_fault_a, V=case.inverter_v, V_p=case.primary_v)
    total = FAULT_TOTAL.step(I_0=case.fault_before_a, I_p=new.value)
    share = FAULT_SHARE.step(p=case.fault_pct, I_max=case.line_fault_a)
    return rule.compare(demand=total.value, capacity=share.value, steps=(new, total, share))


def _interrupting(case: ScreensCase) -> Check:
    rule = _asked(INTERRUPTING, case)
    missing = (
        (case.inverter_fault_a, CONTRIBUTION),
        (case.inverter_v, "the inverter’s voltage"),
        (case.primary_v, "the primary’s voltage"),
        (case.device_fault_a, "fault current at the device"),
        (case.device_a, "its interrupting rating"),
        (case.interrupting_pct, ASK),
    )
    if found := _open(rule, *missing):
        return found
    new = ON_PRIMARY.step(I=case.inverter_fault_a, V=case.inverter_v, V_p=case.primary_v)
    total = AT_DEVICE.step(I_0=case.device_fault_a, I_p=new.value)
    share = DEVICE_SHARE.step(p=case.interrupting_pct, I_r=case.device_a)
    return rule.compare(demand=total.value, capacity=share.value, steps=(new, total, share))


def _shared(case: ScreensCase) -> Check:
    rule = _asked(SHARED, case)
    if case.secondary == "own transformer" or case.across == "three-phase":
        return rule.not_asked("No single-phase shared secondary.")
    if case.secondary == "not known":
        return rule.open("Not known: whether the secondary is shared.")
    missing = (case.new_kw, NEW), (case.shared_before_kw, "generation before it on the secondary")
    if found := _open(rule, *missing, (case.shared_most_kw, ASK)):
        return found
    total = TOTAL.step(P_0=case.shared_before_kw, P_new=case.new_kw)
    return rule.compare(demand=total.value, capacity=case.shared_most_kw or 0.0, steps=(total,))


def _imbalance(case: ScreensCase) -> Check:
    """An inverter across both lines of a center-tapped service adds none; kW stands for kVA at unity."""
    rule = _asked(IMBALANCE, case)
    if case.across == "three-phase":
        return rule.not_asked("Three-phase: no center tap.")
    if case.across == "not known":
        return rule.open("Not known: whether the inverter is across both lines or one and neutral.")
    if found := _open(
        rule,
        (case.new_kw, NEW),
        (case.transformer_kva, "the transformer’s rating"),
        (case.imbalance_pct, ASK),
    ):
        return found
    share = KVA_SHARE.step(p=case.imbalance_pct, S=case.transformer_kva)
    demand = 0.0 if case.across == "line to line" else case.new_kw or 0.0
    note = f"{readable(demand)} of {readable(share.value)} kVA, inverter {case.across}."
    return rule.compare(demand=demand, capacity=share.value, note=note, steps=(share,))
