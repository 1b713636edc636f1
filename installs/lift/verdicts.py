"""Two verdicts of a lift that need no arithmetic: figures are missing, or no number could pass."""

from __future__ import annotations

from sitecalc.checks import Check, Known, compare, not_checked


def not_given(key: str, title: str, missing: list[str], source: str) -> Check:
    """Not checked, because figures are not given."""
    names = ", ".join(missing)
    return not_checked(
        key, title, f"{names[:1].upper()}{names[1:]} not given.", source=source, known=Known.READ
    )


def never(key: str, title: str, why: str, source: str) -> Check:
    """A check that no number could pass: there is no capacity at all."""
    return compare(key, title, demand=1.0, capacity=0.0, unit="", note=why, source=source, known=Known.READ)
