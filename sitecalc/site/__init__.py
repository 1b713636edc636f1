"""The site: wind and energy, setbacks and obstacles, airspace, sound."""

from sitecalc.inputs import Calculation
from sitecalc.site import airspace, energy, noise, obstacles, siting, wind

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "site.wind",
        "Mean wind at the hub, Weibull scale, air density, power density",
        wind.WindCase,
        wind.hub_wind,
        f"{wind.POWER_LAW}; {wind.LOG_LAW}",
    ),
    Calculation(
        "site.energy",
        "Energy of a year with losses, capacity factor and its band",
        energy.EnergyCase,
        energy.annual_energy,
        f"{energy.IEC_SUM}; {energy.SHERIDAN}",
    ),
    Calculation(
        "site.siting",
        "Setbacks, overhead lines, obstacles in the wind",
        siting.SitingCase,
        siting.siting,
        f"{siting.NO_RULE}; {obstacles.OBSTACLE_RULE}",
    ),
    Calculation(
        "site.airspace",
        "Whether the FAA must be given notice",
        airspace.AirspaceCase,
        airspace.airspace,
        airspace.RULE,
    ),
    Calculation(
        "site.noise",
        "Sound by distance against the ordinance's limit",
        noise.NoiseCase,
        noise.noise,
        f"{noise.RULE} (clause not verified)",
    ),
)
