"""Small drawings inside pages."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString, mark_safe

register = template.Library()


@register.simple_tag
def gauge(ratio: float | None, verdict: str) -> SafeString:
    """The verdict gauge: a small rule with a long tick at the limit, left blank where there is no ratio."""
    from installs.drafting.gauge import gauge_svg

    return mark_safe(gauge_svg(ratio, verdict=verdict))


@register.simple_tag
def mark(kind: str) -> SafeString:
    """The small drafting mark of a kind of work; the word stands beside it."""
    from installs.drafting import marks

    return mark_safe(marks.mark(kind))
