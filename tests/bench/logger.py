"""A logger's file of 100,000 lines read and evaluated, against one bare numpy pass over the same numbers.

``python tests/bench/logger.py``. Prints a table and asserts nothing: a benchmark, not a test.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from sitecalc.pour.curing import CuringCase, count_days
from sitecalc.pour.logger import LoggerLog, parse_log
from sitecalc.pour.maturity import MixMaturity, governing_age
from sitecalc.pour.readings import merged

LINES, ROUNDS = 100_000, 5
ZONE = ZoneInfo("America/Chicago")
POURED = date(2031, 10, 10)  # the clock is set back on November 2
MIX = MixMaturity(datum_f=32.0, q_k=5000.0, reference_f=68.0)


def text() -> str:
    """Three sensors every 30 s over 35 days, as a logger that follows the site's clock writes them."""
    begin = datetime(2031, 10, 10, 14, tzinfo=ZONE)
    utc = begin.astimezone(ZoneInfo("UTC"))
    lines = ["Time,edge (F),top (F),core (F)"]
    for n in range(LINES):
        at = (utc + timedelta(seconds=30 * n)).astimezone(ZONE)
        lines.append(
            f"{at:%Y-%m-%d %H:%M:%S},{60 + n % 7 / 10:.1f},{62 + n % 5 / 10:.1f},{70 + n % 3 / 10:.1f}"
        )
    return "\n".join(lines)


def evaluate(log: LoggerLog) -> None:
    traces, _ = merged(log.concrete, ZONE)
    count_days(CuringCase(POURED, POURED + timedelta(days=34), str(ZONE), ()), traces, {})
    governing_age(traces, MIX, 12.0, ZONE)


def bare(rows: np.ndarray) -> None:
    """What no evaluation can be without: mean temperature of each interval, its age gained, the sum."""
    seconds, temps = rows[:, 0], rows[:, 1:]
    hours = np.diff(seconds)[:, None] / 3600
    kelvins = ((temps[1:] + temps[:-1]) / 2 - 32) * 5 / 9 + 273.15
    (hours * np.exp(-5000.0 * (1 / kelvins - 1 / 293.15))).sum(axis=0)


def median_of(work: Callable[[], object]) -> float:
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def main() -> None:
    content = text()
    log = parse_log(content, zone=str(ZONE))
    rows = np.column_stack([log.concrete[0].at_s, *(t.temp_f for t in log.concrete)])
    read, judged = median_of(lambda: parse_log(content, zone=str(ZONE))), median_of(lambda: evaluate(log))
    floor = median_of(lambda: bare(rows))
    print(f"{LINES:,} lines, {log.readings:,} readings, median of {ROUNDS} rounds")
    for name, seconds in (("read", read), ("evaluated", judged), ("together", read + judged)):
        print(f"{name:>10} {seconds * 1000:8.0f} ms {seconds / floor:8.1f} x one numpy pass")
    print(f"{'numpy pass':>10} {floor * 1000:8.1f} ms")


if __name__ == "__main__":
    main()
