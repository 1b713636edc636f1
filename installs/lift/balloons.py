"""Balloon numbers of the schedule of inputs, shared by the form and the drawings."""

NUMBERED = (
    "crane", "chart", "boom_ft", "radius_ft", "beyond_ft", "clear_ft",
    "foot_ft", "over_ft", "pick_ft", "rigging_ft",
    "weight_lb", "weight_known", "block_lb", "line_parts", "ball_lb", "rigging_lb", "jib_lb", "aux_head_lb",
    "length_ft", "center_ft", "sail_ft2", "drag", "stop_gust_mph",
    "foot", "pick_up_ft", "flat_radius_ft",
    "near_ft", "far_ft", "near_sling", "far_sling", "hardware_ft", "shackle", "shackle_side_deg",
    "dynamic_factor",
    "mat_length_ft", "mat_width_ft", "mat_thick_in", "mat_lb", "soil_psf", "on_backfill", "excavation_off_ft",
    "excavation_deep_ft", "outrigger_lb", "mat_bending_psi", "mat_shear_psi", "level_percent",
    "line_ft", "line_kv", "no_line_ft", "table_a_kept",
    "lift_director", "operator", "rigger", "signals", "foreman", "radio", "lift_on", "lift_at", "weather_day",
    "critical_percent", "most_percent", "critical_because", "corners",
)  # fmt: skip
BALLOONS = {name: number for number, name in enumerate(NUMBERED, start=1)}
