"""The Celery app. It carries one task, ``installs.tasks.look``: see installs/work."""

from __future__ import annotations

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "installs.settings")

import installs.work.filebroker  # noqa: F401  (names the transport that the settings use)

app = Celery("mastwright")
app.config_from_object("django.conf:settings", namespace="CELERY")
# current for every thread of a web server, not only for the one that imported it
app.set_default()
