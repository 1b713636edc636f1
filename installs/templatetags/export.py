"""The line of a job's archive on its page of papers."""

from __future__ import annotations

from typing import Any

from django import template
from django.template.context import Context

from installs.export.services import newest

register = template.Library()


@register.inclusion_tag("installs/export/_line.html", takes_context=True)
def archive_line(context: Context) -> dict[str, Any]:
    job = context["job"]
    return {"job": job, "archive": newest(job), "csrf_token": context.get("csrf_token")}
