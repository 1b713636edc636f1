"""The foundation: a pad on its ground, its mats, and what is ordered for it."""

from sitecalc.foundation import (
    anchor_case,
    anchorage,
    bar_schedule,
    bearing,
    bending,
    cutting,
    development,
    pad,
    rebar,
    search,
    stability,
    steel,
    tables,
    take_off,
)
from sitecalc.inputs import Calculation

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "foundation.pad",
        "Bearing, contact, overturning, sliding, buoyancy and frost of a rigid pad",
        pad.PadCase,
        stability.check_pad,
        f"{bearing.METHOD}; {stability.STRESS} (from memory); {tables.PRESUMPTIVE}",
    ),
    Calculation(
        "foundation.smallest_pad",
        "The square pad with the least concrete that passes those checks",
        search.SearchCase,
        search.smallest_pad,
        "half-foot steps over the checks of foundation.pad",
    ),
    Calculation(
        "foundation.steel",
        "Least steel, spacing and cover of two mats",
        rebar.MatCase,
        steel.check_steel,
        "ACI 318-19 (from memory)",
    ),
    Calculation(
        "foundation.rebar",
        "Bar list of two mats",
        rebar.MatCase,
        rebar.rebar_list,
        f"ASTM A615; {development.LAP_RULE} (from memory)",
    ),
    Calculation(
        "foundation.concrete",
        "Concrete to order, trucks, forms, digging",
        take_off.ConcreteCase,
        take_off.concrete,
        "27 ft3 a yard; allowance: common practice, no source",
    ),
    Calculation(
        "foundation.anchors",
        "Anchor bolts, nuts, washers, plates",
        take_off.AnchorCase,
        take_off.anchor_list,
        "ASTM F1554; nuts and washers per bolt: common practice, no source",
    ),
    Calculation(
        "foundation.delivery",
        "A volume of concrete by the plant's step and by truck",
        take_off.DeliveryCase,
        take_off.delivery,
        "27 ft3 a yard; allowances by kind of work as read, trucks: common practice, no source",
    ),
    Calculation(
        "foundation.bend",
        "A bent bar: dimensions and cut length",
        bending.BendCase,
        bending.bend,
        f"{bending.HOOK_RULE} (from memory)",
    ),
    Calculation(
        "foundation.bar_schedule",
        "Every bar of a foundation by mark, with what is cut",
        bar_schedule.ScheduleCase,
        bar_schedule.bar_schedule,
        f"ASTM A615; {development.LAP_RULE}; {bending.HOOK_RULE} (from memory)",
    ),
    Calculation(
        "foundation.cutting",
        "What stock lengths to buy and how to cut them",
        cutting.CuttingCase,
        cutting.cutting_plan,
        cutting.METHOD,
    ),
    Calculation(
        "foundation.anchorage",
        "Anchor bolts in every wind: steel, breakout, pullout, blowout, pryout, interaction",
        anchor_case.AnchorageCase,
        anchorage.check_anchorage,
        "ACI 318-19, chapter 17 (from memory, held against printed examples)",
    ),
)
