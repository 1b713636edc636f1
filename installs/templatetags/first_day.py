"""The line over the look-ahead by which an office finds what is next on its first day."""

from __future__ import annotations

from typing import Any

from django import template
from django.template.context import Context

from installs.book.first_steps import firm_steps, first_job, is_first_day, job_steps, next_of
from installs.people.access import may

register = template.Library()


@register.inclusion_tag("installs/book/_first_day.html", takes_context=True)
def first_day(context: Context) -> dict[str, Any]:
    """Nothing once a permit packet was ordered, and for whoever opens no jobs."""
    if not may(context["request"].user, "edit job") or not is_first_day():
        return {}
    job = first_job()
    return {"next_step": next_of([*firm_steps(), *(job_steps(job) if job else [])])}
