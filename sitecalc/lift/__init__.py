"""The lift: crane and chart, the tower raise, rigging, wind, ground, power lines."""

from sitecalc.inputs import Calculation
from sitecalc.lift import chart, crane, ground, hanging, power_lines, raising, reeving, rigging, setup, wind

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "lift.crane",
        "Boom angle, tip, hook, clearance",
        crane.CraneCase,
        crane.crane_geometry,
        crane.TRIGONOMETRY,
    ),
    Calculation("lift.chart", "Percent of chart", chart.ChartCase, chart.percent_of_chart, chart.LOOKUP),
    Calculation("lift.reeving", "Parts of line", reeving.ReevingCase, reeving.parts_of_line, reeving.REEVING),
    Calculation(
        "lift.line_pull", "Hoist line as reeved", reeving.LinePullCase, reeving.line_pull, reeving.REEVING
    ),
    Calculation(
        "lift.search", "Boom and radius that work", setup.SearchCase, setup.search_set_ups, crane.TRIGONOMETRY
    ),
    Calculation(
        "lift.gravity",
        "Weight and center of gravity",
        raising.SectionsCase,
        raising.center_of_gravity,
        raising.STATICS,
    ),
    Calculation(
        "lift.raise", "Hook and foot load by angle", raising.RaiseCase, raising.raise_loads, raising.STATICS
    ),
    Calculation(
        "lift.bending",
        "Tower bending as it leaves the ground",
        raising.BendingCase,
        raising.bending_flat,
        raising.STATICS,
    ),
    Calculation(
        "lift.slings",
        "Two-leg slings and shackles",
        rigging.SlingCase,
        rigging.two_leg_slings,
        rigging.STATICS,
    ),
    Calculation(
        "lift.hanging",
        "Hook and slings beside the load",
        hanging.HangingCase,
        hanging.beside_the_load,
        hanging.GEOMETRY,
    ),
    Calculation("lift.wind", "Gust limit and drift", wind.WindCase, wind.wind_on_load, wind.SAIL),
    Calculation(
        "lift.ground", "Outrigger load and mats", ground.MatCase, ground.ground_under_mats, ground.DUERR
    ),
    Calculation(
        "lift.power_line",
        "Distance to power lines",
        power_lines.LineCase,
        power_lines.line_clearance,
        power_lines.TABLE_A,
    ),
)
