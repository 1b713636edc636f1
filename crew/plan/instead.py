"""Who can go in place of a person who is away or gone: free on the day, with the cards asked. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from crew.plan.clashes import PersonFact


@dataclass(frozen=True)
class Post:
    """A day on which somebody is missing. ``others`` are those who go all the same."""

    key: int
    job: str
    on: date
    skills: tuple[str, ...]
    others: tuple[int, ...]


@dataclass(frozen=True)
class Offer:
    """Who can go on the day, the best first; ``asked`` are the cards that nobody else of the day holds."""

    post: Post
    asked: tuple[str, ...]
    people: tuple[PersonFact, ...]


def offers(
    posts: Iterable[Post],
    missing: PersonFact,
    people: Mapping[int, PersonFact],
    busy: Mapping[tuple[int, date], frozenset[str]],
) -> list[Offer]:
    """By day who can go. ``busy`` are the jobs that a person is on by day; ``people`` all who could be asked.

    First comes who can go on most of the days, so that one choice serves them all.
    """
    free = []
    for post in posts:
        asked = tuple(s for s in post.skills if _only(missing, s, post, people))
        can = [p for p in people.values() if p.pk != missing.pk and _can(p, post, asked, busy)]
        free.append((post, asked, can))
    often = Counter(person.pk for _, _, can in free for person in can)
    return [
        Offer(post, asked, tuple(sorted(can, key=lambda p: (-often[p.pk], p.name))))
        for post, asked, can in free
    ]


def _only(missing: PersonFact, skill: str, post: Post, people: Mapping[int, PersonFact]) -> bool:
    """The day stands on this person's card."""
    others = (people[key] for key in post.others if key in people)
    return missing.holds(skill, post.on) and not any(p.holds(skill, post.on) for p in others)


def _can(
    person: PersonFact,
    post: Post,
    asked: tuple[str, ...],
    busy: Mapping[tuple[int, date], frozenset[str]],
) -> bool:
    free = not (busy.get((person.pk, post.on), frozenset()) - {post.job})
    here = not person.left and person.away_on(post.on) is None
    return free and here and person.pk not in post.others and all(person.holds(s, post.on) for s in asked)
