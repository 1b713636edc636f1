"""The parts of a job, in the order in which papers name them. To add one: its folder and a line here."""

from __future__ import annotations

from installs.foundation.part import PART as FOUNDATION
from installs.ground_station.part import PART as GROUND_STATION
from installs.jobs.parts import Part
from installs.lift.part import TOWER as TOWER_LIFT
from installs.lift.part import TURBINE as TURBINE_LIFT
from installs.pour.part import PART as POUR
from installs.site.part import PART as SITE
from installs.tower.part import PART as TOWER
from installs.turbine.part import PART as TURBINE

PARTS: tuple[Part, ...] = (SITE, FOUNDATION, POUR, TOWER, TURBINE, GROUND_STATION, TOWER_LIFT, TURBINE_LIFT)
