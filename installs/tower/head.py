"""What stands on the tower, as the turbine's design gives it."""

from __future__ import annotations

from installs.jobs.models import Job
from installs.tower.facts import Head
from installs.turbine.machine import Given, turbine_given


def head_of(job: Job) -> Head | None:
    """Weight, height and speeds of the head from the turbine's draft; None while no machine is chosen."""
    given = turbine_given(job)
    return None if given is None else head_given(given)


def head_given(given: Given) -> Head:
    """A center of gravity that the maker does not state is taken at the hub: the lower frequency of two."""
    machine = given.machine
    hub = machine.hub_above_flange_ft
    center = machine.center_above_flange_ft
    return Head(
        weight_lb=machine.head_weight_lb,
        blades=machine.blades,
        rotor_diameter_ft=machine.rotor_diameter_ft,
        hub_above_top_ft=hub,
        center_above_top_ft=max(0.0, hub if center is None else center),
        speed_low_rpm=machine.speed_low_rpm,
        speed_high_rpm=machine.speed_high_rpm,
        overspeed_rpm=machine.overspeed_rpm,
        hub_ft=given.hub_ft,
        thrust_kip=machine.thrust_kip,
        source=given.source,
    )
