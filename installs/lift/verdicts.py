"""Two verdicts of a lift that need no arithmetic: figures are missing, or no number could pass."""

from __future__ import annotations

from sitecalc.checks import Check, Rule


def not_given(rule: Rule, missing: list[str]) -> Check:
    """Not checked, because figures are not given."""
    names = ", ".join(missing)
    return rule.open(f"{names[:1].upper()}{names[1:]} not given.")


def never(rule: Rule, why: str) -> Check:
    """A check that no number could pass: there is no capacity at all."""
    return rule.compare(demand=1.0, capacity=0.0, note=why)
