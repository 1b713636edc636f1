"""Numbers of the schedule of inputs, as the balloons on the drawing name them."""

from __future__ import annotations

BALLOONS = {
    "sections": 1,
    "joints": 2,
    "kind": 3,
    "condition": 4,
    "nut_factor": 5,
    "first_pass": 6,
    "edition": 7,
    "anchor_bolts": 8,
    "anchor_pattern_in": 9,
    "moment_kip_ft": 10,
    "shear_kip": 11,
    "reactions": 12,
    "reactions_source": 13,
    "load_factor": 14,
    "wind_mph": 15,
    "exposure": 16,
    "solidity_percent": 17,
    "round_members": 18,
    "gust_factor": 19,
    "spring_kip_ft_rad": 20,
    "skip_low_rpm": 21,
    "skip_high_rpm": 22,
    "margin_percent": 23,
    "plumb_percent": 24,
}
