"""Numbers of the schedule of inputs as they stand on the site plan; what belongs together shares one."""

_GROUPS: dict[int, tuple[str, ...]] = {
    1: ("north_ft", "east_ft", "south_ft", "west_ft"),
    2: ("things", "surveyed_ft", "no_line_within_ft"),
    3: (
        "datum", "property_multiple", "dwelling_multiple", "road_multiple", "line_multiple", "base_half_ft",
        "ordinance",
    ),
    4: ("clearance_ft", "clearance_datum", "obstacle_radius_ft", "growth_ft"),
    5: (
        "mean_mph", "wind_at_ft", "law", "exponent", "roughness_ft", "displacement_ft", "second_mph",
        "second_at_ft", "weibull_k", "temperature_f", "monthly", "downtime_pct", "electrical_pct",
        "turbulence_pct", "icing_pct", "other_pct",
    ),
    6: (
        "elevation_ft", "latitude_deg", "longitude_deg", "runways", "runways_csv", "airports_listed",
        "determined_ft", "determination",
    ),
    7: ("sound_at", "sound_limit_dba", "sound_ordinance"),
    8: ("trench",),
    9: ("pad_bearing_deg", "pad_distance_ft", "pad_ft", "access"),
    10: ("frost_ft", "soil"),
}  # fmt: skip

BALLOONS: dict[str, int] = {name: number for number, names in _GROUPS.items() for name in names}
