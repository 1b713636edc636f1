"""Navigation, dates and numbers as the screens write them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Any

from django import template
from django.forms import BaseForm, BaseFormSet
from django.template.context import Context
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from installs.checklists.received import receipt_words
from installs.drafting.letters import feet_and_inches
from installs.jobs.parts import TABLE
from installs.jobs.services import in_words
from installs.people.access import may
from sitecalc.checks import Known, readable
from sitecalc.wording import clock_words, day_words, dollar_words, unit_words

register = template.Library()
register.filter("part_words", in_words)
register.filter("unit_words", unit_words)
register.filter("dollars", dollar_words)

OFFICE_LINKS = (
    ("look-ahead", "Look-ahead", "see"),
    ("next-day", "Next-day sheet", "plan crew days"),
    ("jobs", "Jobs", "see"),
    ("crew-days", "Crew days", "plan crew days"),
    ("day-sheet", "Day sheet", "record entries"),
    ("all-papers", "Papers", "order papers"),
    ("people", "People", "manage people"),
    ("equipment", "Equipment", "manage equipment"),
    ("turbine-models", "Turbines", "manage equipment"),
    ("kits", "Kits", "edit job"),
)
# of a job, after the pages of its parts
JOB_LINKS = (
    ("permits", "Permits"),
    ("utility", "Utility"),
    ("job-lists", "Checklists"),
    ("materials", "Materials"),
    ("papers", "Papers"),
    ("contacts", "Contacts"),
)


@register.filter
def as_cited(source: str) -> str:
    """The source of a list's item, with what is said on every page of a clause from memory."""
    return source.replace(f"({Known.MEMORY})", f"({Known.MEMORY.words})")


@register.simple_tag(takes_context=True)
def named_faults(context: Context) -> SafeString:
    """At the head of the page: what is wrong in its forms, each with a link to its field.

    Of every bound form that the view gave the page, so that no page has to think of it.
    """
    forms = {id(given): given for given in _forms_in(context.flatten().values()) if given.errors}
    faults = [fault for form in forms.values() for fault in _faults_of(form)]
    if not faults:
        return SafeString("")
    count = "One thing" if len(faults) == 1 else f"{len(faults)} things"
    rows = format_html_join("", '<li><a href="#{}">{}</a>: {}</li>', faults)
    head = f"{count} to look at; nothing was recorded, and what was typed is still here."
    return format_html('<div class="said faults-named" role="alert"><p>{}</p><ul>{}</ul></div>', head, rows)


def _forms_in(values: Iterable[Any]) -> Iterator[BaseForm]:
    for value in values:
        if isinstance(value, BaseForm) and value.is_bound:
            yield value
        elif isinstance(value, BaseFormSet) and value.is_bound:
            yield from value.forms
        elif isinstance(value, list | tuple):
            yield from _forms_in(value)


def _faults_of(form: BaseForm) -> Iterator[tuple[str, str, str]]:
    """The id, the label and the fault of each field; what is wrong with the form as a whole is said there."""
    for field in form:
        for fault in field.errors:
            yield field.id_for_label or field.auto_id, str(field.label), str(fault)


def _links(here: str, links: list[tuple[str, str]]) -> SafeString:
    """The link under whose address the page stands is the current one; the longest match wins."""
    matches = [url for url, _ in links if here.startswith(url)]
    current = max(matches, key=len, default=None)
    return format_html_join(
        " ",
        '<a href="{}"{}>{}</a>',
        ((url, mark_safe(' aria-current="page"') if url == current else "", text) for url, text in links),
    )


def _existing(name: str, *args: str) -> str | None:
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return None


@register.simple_tag(takes_context=True)
def office_nav(context: Context) -> SafeString:
    request = context["request"]
    allowed = [(_existing(name), text) for name, text, ability in OFFICE_LINKS if may(request.user, ability)]
    return _links(request.path, [(url, text) for url, text in allowed if url])


@register.simple_tag(takes_context=True)
def office_nav_short(context: Context) -> SafeString:
    return format_html('<a href="{}">Look-ahead</a>', reverse("home"))


@register.simple_tag(takes_context=True)
def job_nav(context: Context, job: Any) -> SafeString:
    parts = [(part.page, part.called) for part in TABLE.values() if part.called]
    links = (("job-book", "Job book"), *parts, *JOB_LINKS)
    known = [(_existing(name, job.number), text) for name, text in links]
    return _links(context["request"].path, [(url, text) for url, text in known if url])


@register.simple_tag
def labelled(field: Any, line: Any, says: str) -> SafeString:
    """A field of a table's line with the label of its own that a table gives only by its head."""
    more = {"aria-label": f"{line.called}, {says}"}
    if line.filled and field.errors:
        more |= {"aria-invalid": "true"}
    shown: SafeString = field.as_widget(attrs=more)
    return shown


def _another_year(value: date) -> bool:
    """Whether the day is of another year than today's, at its own clock where it is an instant."""
    zone = value.tzinfo if isinstance(value, datetime) else None
    return value.year != timezone.localdate(timezone=zone).year


@register.filter
def day(value: date | datetime | None) -> str:
    """ "May 19", with the year where it is another than this one: for pages, as paper outlives its year."""
    return day_words(value, year=_another_year(value)) if value else ""


@register.filter
def day_year(value: date | datetime | None) -> str:
    return day_words(value, year=True) if value else ""


@register.filter
def weekday(value: date | datetime | None) -> str:
    """ "Mon May 19", with the year where it is another than this one."""
    return day_words(value, weekday=True, year=_another_year(value)) if value else ""


@register.filter
def weekday_year(value: date | datetime | None) -> str:
    """ "Mon May 19, 2031" """
    return day_words(value, weekday=True, year=True) if value else ""


@register.filter
def day_of_rows(value: date | datetime | None) -> str:
    """ "Mon May 19", in a row of many under a head that has the year."""
    return day_words(value, weekday=True) if value else ""


@register.filter
def clock(value: datetime | None) -> str:
    """ "7:30 AM" """
    return clock_words(value) if value else ""


@register.filter
def instant(value: datetime | None, job: Any = None) -> str:
    """ "Mon May 19 7:30 AM", at a job's own clock where one is given."""
    local = job.local(value) if value and job else value
    return f"{weekday(local)} {clock(local)}"


@register.filter
def at_site(value: datetime | None, job: Any) -> datetime | None:
    """An instant at the job's own clock."""
    return job.local(value) if value else None


@register.filter
def receipt(entry: Any, job: Any) -> str:
    """ "received Nov 26, 3:10 PM", where that is well apart from when it happened."""
    return receipt_words(entry, job, year=_another_year(job.local(entry.received_at)))


@register.filter
def photo_taken(entry: Any, job: Any) -> str:
    """ "photo taken 10:41 AM, 46.81 N 100.78 W": as its file said, with the day if not the entry's."""
    told = [words for words in (_shot_at(entry, job), _shot_where(entry.said)) if words]
    return f"photo taken {', '.join(told)}" if told else ""


def _shot_at(entry: Any, job: Any) -> str:
    """At the site's clock where the camera gave its offset, else as the camera's clock stood."""
    shot = entry.said.get("photo_taken_at")
    if shot is None:
        return ""
    shot = job.local(shot) if shot.tzinfo else shot
    date_told = "" if shot.date() == job.local(entry.happened_at).date() else f"{day_year(shot)} "
    return f"{date_told}{clock(shot)}"


def _shot_where(data: Any) -> str:
    lat, lon = data.get("photo_lat"), data.get("photo_lon")
    if lat is None or lon is None:
        return ""
    return f"{abs(lat):.2f} {'N' if lat >= 0 else 'S'} {abs(lon):.2f} {'E' if lon >= 0 else 'W'}"


@register.filter
def figure(value: float | None) -> str:
    """A number to about four figures; blank when not known."""
    return readable(value) if isinstance(value, (int, float)) else ""


@register.filter
def feet(value: float | None) -> str:
    return feet_and_inches(value) if isinstance(value, (int, float)) else ""


@register.filter
def inches(value: float | None) -> str:
    """A length given in inches, as feet and inches."""
    return feet_and_inches(value / 12) if isinstance(value, (int, float)) else ""


@register.filter
def get(mapping: Any, key: Any) -> Any:
    return mapping.get(key) if hasattr(mapping, "get") else None


@register.filter
def names(people: Iterable[Any]) -> str:
    """ "Ben Aune, Tilda Roe" """
    return ", ".join(person.full_name for person in people)


@register.filter
def led_by(words: Any, before: str) -> str:
    """The words with what leads to them ( ", license 4711"), nothing where there are none.

    In a template a block of its own after another would stand on a new line, and a space before its comma.
    """
    return "" if words in ("", None) else f"{before}{words}"


@register.filter
def followed_by(words: Any, after: str) -> str:
    """The words with what comes after them ("240 V"), nothing where there are none."""
    return "" if words in ("", None) else f"{words}{after}"
