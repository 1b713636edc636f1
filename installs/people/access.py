"""Who may do what. Every view names one ability; a view that names none answers nobody.

The table below is the whole rule; DEVELOPERS.md prints it. Beside the ability, whoever is not in
the office sees only the jobs they are a member of: a URL with a job number is checked for that
before its view runs (installs/jobs/middleware.py: deny_by_default).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Concatenate, Literal, ParamSpec, TypeVar, overload

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from installs.people.models import Role, User
from installs.people.requests import PersonRequest

OFFICE, FOREMAN, CREW = Role.OFFICE.value, Role.FOREMAN.value, Role.CREW.value
ELECTRICIAN, ENGINEER = Role.ELECTRICIAN.value, Role.ENGINEER.value
EVERYONE = frozenset(Role.values)

ABILITIES: dict[str, frozenset[str]] = {
    "see": EVERYONE,
    "see all jobs": frozenset({OFFICE}),
    "edit job": frozenset({OFFICE}),
    "edit design": frozenset({OFFICE, ENGINEER}),
    "edit ground station": frozenset({OFFICE, ENGINEER, ELECTRICIAN}),
    "release design": frozenset({OFFICE, ENGINEER}),
    "accept check": frozenset({ENGINEER}),
    "confirm release": frozenset({OFFICE, ENGINEER}),
    "record letter": frozenset({OFFICE}),
    "record permits": frozenset({OFFICE}),
    "record inspections": frozenset({OFFICE, ENGINEER}),
    "record strength": frozenset({OFFICE, ENGINEER}),
    "record entries": frozenset({OFFICE, FOREMAN, CREW, ELECTRICIAN}),
    "sign lift plan": EVERYONE,
    "start phase": frozenset({OFFICE, FOREMAN, ELECTRICIAN}),
    "answer deviation": frozenset({OFFICE, ENGINEER}),
    "order papers": frozenset({OFFICE, ENGINEER}),
    "plan crew days": frozenset({OFFICE}),
    "manage people": frozenset({OFFICE}),
    "manage equipment": frozenset({OFFICE}),
}
# what an archived job's pages still offer: to look, to answer what deviated, to take the job back
ON_ARCHIVED = frozenset({"see", "see all jobs", "edit job", "answer deviation"})


P = ParamSpec("P")
Asked = TypeVar("Asked", bound=PersonRequest)
Answer = TypeVar("Answer", bound=HttpResponseBase)


@overload
def allow(  # type: ignore[overload-overlap]  # "anyone" is no ability, so the second is never asked with it
    ability: Literal["anyone"],
) -> Callable[
    [Callable[Concatenate[HttpRequest, P], Answer]], Callable[Concatenate[HttpRequest, P], Answer]
]: ...
@overload
def allow(
    ability: str,
) -> Callable[[Callable[Concatenate[Asked, P], Answer]], Callable[Concatenate[HttpRequest, P], Answer]]: ...
def allow(ability: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Mark a view with the ability it asks; "anyone" is for the sign-in page and the health check.

    A view with an ability is given a PersonRequest, or a JobRequest where its URL carries a job number:
    nothing else reaches it past installs/jobs/middleware.py.
    """
    if ability != "anyone" and ability not in ABILITIES:
        raise ValueError(f"no ability {ability!r}")

    def mark(view: Callable[..., Any]) -> Callable[..., Any]:
        view.ability = ability  # type: ignore[attr-defined]  # a function may carry a mark, its type cannot
        return view

    return mark


def may(user: Any, ability: str, job: Any = None) -> bool:
    """Whether this signed-in person has the ability; nobody else has any. Of an archived job few are left."""
    if job is not None and job.archived_on and ability not in ON_ARCHIVED:
        return False
    return isinstance(user, User) and user.is_active and user.role in ABILITIES[ability]


def holders(ability: str) -> str:
    """The roles that have it, as a page says who does what: "office or engineer"."""
    return " or ".join(role for role in Role.values if role in ABILITIES[ability])


def table() -> str:
    """The rule table as DEVELOPERS.md prints it: ability by role, and the views that ask it."""
    from django.urls import URLPattern, URLResolver, get_resolver

    def views(resolver: Any) -> Any:
        for entry in resolver.url_patterns:
            if isinstance(entry, URLResolver):
                yield from views(entry)
            elif isinstance(entry, URLPattern):
                view: Any = entry.callback
                yield view.ability, entry.name

    asked: dict[str, list[str]] = {}
    for ability, name in views(get_resolver()):
        asked.setdefault(ability, []).append(name)
    lines = ["| ability | " + " | ".join(Role.values) + " | views |", "|---" * (len(Role.values) + 2) + "|"]
    for ability in ["anyone", *ABILITIES]:
        roles = EVERYONE if ability == "anyone" else ABILITIES[ability]
        marks = " | ".join("yes" if role in roles else "" for role in Role.values)
        lines.append(f"| {ability} | {marks} | {', '.join(sorted(asked.get(ability, [])))} |")
    return "\n".join(lines)
