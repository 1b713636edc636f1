"""Columns of the site's rows: what stands near, runways, months, trench."""

from __future__ import annotations

from typing import get_args

from installs.jobs.rows import Column
from sitecalc.site.airspace import Use
from sitecalc.site.obstacles import Kind

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

THINGS = (
    Column("name", "What", size=16),
    Column("kind", "Kind", choices=get_args(Kind)),
    Column("distance_ft", "Nearest point", unit="ft", low=0, high=30_000),
    Column("bearing_deg", "Bearing", unit="deg", low=0, high=360, required=False),
    Column("height_ft", "Height", unit="ft", low=0, high=600, required=False),
    Column("ground_ft", "Its ground above ours", unit="ft", low=-300, high=300, required=False),
    Column("width_ft", "Width", unit="ft", low=1, high=5000, required=False),
    Column("ours", "Owner’s own", choices=("yes", "no"), required=False),
)
RUNWAYS = (
    Column("name", "Airport and runway", size=20),
    Column("use", "Kind", choices=get_args(Use)),
    Column("distance_ft", "Nearest point", unit="ft", low=0, high=500_000, required=False),
    Column("elevation_ft", "Its elevation", unit="ft", low=-300, high=14_000, required=False),
    Column("longest_ft", "Airport’s longest", unit="ft", low=100, high=20_000, required=False),
)
MONTHLY = tuple(Column(m, m.capitalize(), unit="mph", low=1, high=45, size=4) for m in MONTHS)
TRENCH = (
    Column("bearing_deg", "Bearing from the tower", unit="deg", low=0, high=360),
    Column("distance_ft", "Distance from the tower", unit="ft", low=0, high=5000),
)
