"""Check that the record is as it was written: each job's log, entries, releases; and the firm's log."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from installs.checklists.heads import CHAINS, heads_words, lost_ends, read_line
from installs.jobs.models import Job
from installs.record.services import check_firm_log, check_record


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("numbers", nargs="*", metavar="2031-014", help="these jobs only")
        parser.add_argument(
            "--paper",
            metavar="LINE",
            help='what a page of one job says of the record: "log line 227 a1b2 c3d4 e5f6 0718, entry ..."',
        )

    def handle(self, *args: Any, numbers: list[str], paper: str | None, **options: Any) -> None:
        jobs = Job.objects.order_by("number")
        if numbers:
            jobs = jobs.filter(number__in=numbers)
        unknown = set(numbers) - {job.number for job in jobs}
        if unknown:
            raise CommandError(f"There is no job {', '.join(sorted(unknown))}.")
        if paper is not None:
            return self._hold(list(jobs) if numbers else [], paper)
        broken = 0
        for job in jobs:
            check = check_record(job, at=timezone.now())
            releases = f"{check.releases} release{'' if check.releases == 1 else 's'}"
            self.stdout.write(f"{job.number}  {check.in_words} ({releases})")
            for fault in check.faults:
                self.stdout.write(f"  {fault}.")
            broken += bool(check.faults)
        said = [f"The record of {broken} job{'' if broken == 1 else 's'} is broken."] if broken else []
        if not numbers:
            said += self._firm()
        if said:
            raise CommandError(" ".join(said))

    def _firm(self) -> list[str]:
        check = check_firm_log(at=timezone.now())
        self.stdout.write(f"Firm's log  {check.in_words}")
        for fault in check.faults:
            self.stdout.write(f"  {fault}.")
        return ["The firm's log is broken."] if check.faults else []

    def _hold(self, jobs: list[Job], paper: str) -> None:
        """A page in somebody's hand against the chains as they are now."""
        ends = read_line(paper)
        if len(jobs) != 1 or not ends:
            raise CommandError("Name one job, and type the line as the page has it, with every digit.")
        chains = {
            word: dict(getattr(jobs[0], chain).values_list("sequence", "hash"))
            for word, chain in CHAINS.items()
        }
        lost = lost_ends(ends, chains)
        if lost:
            raise CommandError("\n".join(f"The page was printed at {words}." for words in lost))
        self.stdout.write(f"{jobs[0].number}  {heads_words(ends)}: as printed")
