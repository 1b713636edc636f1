"""The tower: first frequency against the rotor, bolted joints and their torque, reactions, plumb."""

from sitecalc.inputs import Calculation
from sitecalc.tower import bolting, frequency, plumb, reactions, wind

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "tower.frequency",
        "First frequency of tower and head against 1P and BP of the rotor",
        frequency.FrequencyCase,
        frequency.first_frequency,
        frequency.METHOD,
    ),
    Calculation(
        "tower.joint",
        "Target torque or turn, passes and strength of one bolted joint",
        bolting.Joint,
        bolting.joint,
        f"{bolting.TORQUE_RULE}; {bolting.RCSC}",
    ),
    Calculation(
        "tower.leg_forces",
        "Pull and push of a leg from the base reactions",
        reactions.Base,
        reactions.leg_forces,
        "equilibrium of a rigid base on 3 or 4 legs",
    ),
    Calculation(
        "tower.wind",
        "Base reactions by ASCE 7, an aid until the maker's are in hand",
        wind.WindCase,
        wind.wind_reactions,
        f"{wind.SOURCE} ({wind.KNOWN})",
    ),
    Calculation(
        "tower.plumb", "Lean against the tolerance", plumb.Plumb, plumb.plumb_check, plumb.PLUMB_RULE
    ),
)
