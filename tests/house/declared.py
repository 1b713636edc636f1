"""Watches what calculations say while they run: every step they make, every rule they judge by."""

from __future__ import annotations

import pkgutil
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from typing import Any

import sitecalc
from sitecalc import formula
from sitecalc.checks import Check, Rule, Step


@dataclass
class Watched:
    steps: list[Step] = field(default_factory=list)
    rules: list[tuple[Rule, Check]] = field(default_factory=list)
    stated: list[tuple[Rule, Rule]] = field(default_factory=list)  # (the declared one, as stated)


@contextmanager
def watching() -> Iterator[Watched]:
    seen, kept = Watched(), {}
    for owner, name in (
        (Step, "__init__"),
        (formula._WorkedStep, "__init__"),
        (Rule, "_check"),
        (Rule, "stated"),
    ):
        kept[owner, name] = getattr(owner, name)
    plain, worked = kept[Step, "__init__"], kept[formula._WorkedStep, "__init__"]
    judged, stated = kept[Rule, "_check"], kept[Rule, "stated"]

    def note_plain(self: Step, *args: Any, **named: Any) -> None:
        plain(self, *args, **named)
        seen.steps.append(self)

    def note_worked(self: Any, *args: Any, **named: Any) -> None:
        worked(self, *args, **named)
        seen.steps.append(self)

    def note_judged(self: Rule, *args: Any, **named: Any) -> Check:
        check = judged(self, *args, **named)
        seen.rules.append((self, check))
        return check

    def note_stated(self: Rule, **named: Any) -> Rule:
        rule = stated(self, **named)
        seen.stated.append((self, rule))
        return rule

    Step.__init__ = note_plain  # type: ignore[method-assign]
    formula._WorkedStep.__init__ = note_worked  # type: ignore[method-assign]
    Rule._check = note_judged  # type: ignore[method-assign]
    Rule.stated = note_stated  # type: ignore[method-assign]
    try:
        yield seen
    finally:
        for (owner, name), method in kept.items():
            setattr(owner, name, method)


def declared() -> frozenset[Rule]:
    """Every rule that stands as a constant in a module of sitecalc, or of installs as far as it is loaded."""
    _load()
    ours = (name for name in sys.modules if name.startswith(("sitecalc.", "installs.")))
    return _declared_in(frozenset(ours))


@cache
def _load() -> None:
    for module in pkgutil.walk_packages(sitecalc.__path__, "sitecalc."):
        if not module.name.endswith("__main__"):
            import_module(module.name)


@cache
def _declared_in(modules: frozenset[str]) -> frozenset[Rule]:
    ours = [vars(sys.modules[name]) for name in modules]
    return frozenset(rule for names in ours for rule in _rules(list(names.values())))


def _rules(values: Iterable[Any]) -> Iterator[Rule]:
    for value in values:
        if isinstance(value, Rule):
            yield value
        elif isinstance(value, dict):
            yield from _rules(value.values())
        elif isinstance(value, (tuple, list)):
            yield from _rules(value)


def undeclared(seen: Watched) -> list[str]:
    """Checks that came from no declared rule, nor from one as an edition, a maker, an ordinance states it."""
    if not seen.rules:
        return []
    lawful = set(declared())
    for rule, stated in seen.stated:
        if rule in lawful:
            lawful.add(stated)
    return sorted({f"{check.key}: {check.title}" for rule, check in seen.rules if rule not in lawful})


@cache
def _declared_twice(rules: frozenset[Rule]) -> frozenset[str]:
    keys = Counter(rule.key for rule in rules)
    return frozenset(key for key, times in keys.items() if times > 1)


def contradicting(seen: Watched) -> list[str]:
    """Keys that stand with two titles, sources or ways of being known, but for rules that say they vary."""
    if not seen.rules:
        return []
    vary = {stated.key for _rule, stated in seen.stated} | _declared_twice(declared())
    first: dict[str, tuple[str, str, str]] = {}
    wrong = set()
    for rule, check in seen.rules:
        says = (check.title, check.source, str(check.known))
        if first.setdefault(check.key, says) != says and rule.key not in vary:
            wrong.add(check.key)
    return sorted(wrong)
