"""Sentences of the foundation's sheet: what would pass, what the rose of bearing shows."""

from __future__ import annotations

from installs.drafting import feet_and_inches as _feet
from installs.foundation.facts import FoundationFacts
from sitecalc.checks import Check, readable
from sitecalc.foundation.pad import OVERTURNS
from sitecalc.foundation.search import SearchResult


def feet_and_inches(feet: float) -> str:
    """Kept on one line."""
    return _feet(feet).replace(" ", "\u00a0")


ACROSS = {"rectangle": "square", "octagon": "octagon across flats", "circle": "round"}


def would_pass(result: SearchResult, frost_ft: float | None, outline: str) -> list[tuple[str, bool]]:
    """(words, whether they stand out) of the smallest pad that passes, and what stops a smaller one."""
    pad = result.found
    if pad is None:
        return [(result.why_none, False)]
    begins = "Least concrete" + (
        f" with frost at {feet_and_inches(frost_ft)}" if frost_ft is not None else ""
    )
    parts = [(begins, False)]
    if pad.not_checked:
        parts.append((f", {_listed([t.lower() for t in pad.not_checked])} still not checked", True))
    bars = ""
    if pad.size:
        bars = f", {pad.count} {pad.size} each way below, {pad.upper_count} {pad.upper_size} above"
    parts.append(
        (
            f": {feet_and_inches(pad.side_ft)} {ACROSS[outline]}, {feet_and_inches(pad.thickness_ft)} thick, "
            f"{pad.volume_yd3:.1f} yd³{bars}. {_governs(pad.governs)}",
            False,
        )
    )
    if pad.strength_governs is not None:
        parts.append((f" Of concrete and steel, {_uncapital(_governs(pad.strength_governs))}", False))
    if pad.smaller_ft is not None and pad.smaller_fails is not None:
        parts.append(
            (
                f" The next smaller, {feet_and_inches(pad.smaller_ft)} and as thick, fails: "
                f"{pad.smaller_fails.title.lower()} {pad.smaller_fails.note}",
                False,
            )
        )
    parts.append((" Anchor bolts are not part of this.", False))
    return parts


def _governs(check: Check) -> str:
    return f"{check.title} governs at {readable(check.ratio or 0.0)} of its limit."


def _uncapital(words: str) -> str:
    return words[:1].lower() + words[1:]


def rose_words(facts: FoundationFacts, prevailing: str) -> str:
    """What stands under the rose."""
    if facts.governing is None:
        return "No bearing by wind direction while loads are not given."
    ring = f"; dashed ring {readable(facts.allowable_psf)} psf" if facts.allowable_psf is not None else ""
    lost = sum(p.pressure_psf is None for p in facts.rose)
    if lost:
        return f"Bearing by wind direction{ring}. In {lost} of {len(facts.rose)} {OVERTURNS}."
    named = facts.governing.wind_from
    most = facts.governing.pressure_psf
    equal = [p for p in facts.rose if p.pressure_psf is not None and p.pressure_psf >= most * (1 - 1e-9)]
    if len(equal) < 2:
        return f"Bearing by wind direction{ring}. {named} (heavy) presses hardest."
    because = (
        "it is the prevailing wind"
        if named == prevailing
        else f"it is next to {prevailing}, the prevailing wind"
    )
    return (
        f"Bearing by wind direction{ring}. {len(equal)} directions are equal; "
        f"{named} (heavy) is shown as governing because {because}."
    )


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
