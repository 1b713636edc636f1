"""What a view behind ``@allow`` is given: the request of a person who signed in.

Django makes every request itself and says of each that its user may be nobody. Behind the gate of
installs/jobs/middleware.py that is no longer so; these types say it, and ``@allow`` (access.py) is where
one becomes the other. A view for anyone is given Django's own HttpRequest.
"""

from __future__ import annotations

from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from installs.people.models import User


class PersonRequest(HttpRequest):
    """Of a signed-in person who has the view's ability. Django's own request is one behind the gate."""

    user: User
    htmx: HtmxDetails
