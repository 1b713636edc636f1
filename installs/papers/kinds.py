"""Printing a paper in a worker."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from installs.jobs.sealing import digest
from installs.papers.models import Paper
from installs.papers.printing import Printed, printed
from installs.papers.services import RENDER, keep_printed
from installs.work.models import WorkRequest
from installs.work.registry import kind
from installs.work.runner import Work, WorkFailed


def keep(request: WorkRequest, outcome: Printed) -> dict[str, Any]:
    paper = Paper.objects.select_related("job", "ordered_by").get(pk=request.arguments["paper"])
    file = keep_printed(paper, outcome.content, outcome.pages, at=timezone.now())
    return {"pdf": file.sha256, "pages": outcome.pages}


@kind(RENDER, queue="papers", keep=keep, limit_s=420)
def render(work: Work) -> Printed:
    paper = Paper.objects.select_related("seal__file").get(pk=work.arguments["paper"])
    if digest(paper.inputs) != paper.inputs_sha256:
        raise WorkFailed("What was frozen for this paper no longer matches its hash. Order a new letter.")
    return printed(paper, work.progress)
