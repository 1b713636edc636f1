"""Wiring of the ground station by the National Electrical Code (NFPA 70): numbers and sections, not wording.

run.py is a run of conductors; ampacity.py, voltage_drop.py, breaker.py, grounding.py and conduit.py
check it, wiring.py all together, choose.py finds the smallest conductor; turbine.py, panel.py,
fault.py and transformer.py check what stands at its ends; station.py puts a whole station together.
A licensed electrician and the authority having jurisdiction decide.
"""

from sitecalc.inputs import Calculation

from .choose import choose_conductor
from .conduit import FillCase, check_fill
from .fault import FaultCase, fault
from .panel import PanelCase, check_panel
from .run import Run
from .station import Station, check_station
from .transformer import TransformerCase, check_transformer
from .wiring import RunCase, check_run

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "ground_station.station",
        "All checks of a ground station, from the turbine to the service",
        Station,
        check_station,
        "NEC (NFPA 70) Articles 110, 240, 250, 310, 694 and 705, edition by choice",
    ),
    Calculation(
        "ground_station.run",
        "Ampacity, voltage, breaker, ground, fill and cover of one run",
        RunCase,
        check_run,
        "NEC Articles 240, 250, 310, 694; Chapter 9 Tables 1, 4, 5, 8, 9",
    ),
    Calculation(
        "ground_station.conductor",
        "Smallest conductor for a run by ampacity and voltage",
        Run,
        choose_conductor,
        "NEC 310.16, 310.15, 110.14(C), 240.4; Chapter 9 Table 9",
    ),
    Calculation(
        "ground_station.conduit_fill",
        "Conduit fill and the smallest conduit",
        FillCase,
        check_fill,
        "NEC Chapter 9 Tables 1, 4 and 5",
    ),
    Calculation(
        "ground_station.panel",
        "Busbar with an inverter, or supply-side connection",
        PanelCase,
        check_panel,
        "NEC 705.12(B), 705.11",
    ),
    Calculation(
        "ground_station.fault",
        "Fault current behind the service transformer",
        FaultCase,
        fault,
        "complex impedances; NEC Chapter 9 Tables 8 and 9",
    ),
    Calculation(
        "ground_station.transformer",
        "Overcurrent devices of a transformer",
        TransformerCase,
        check_transformer,
        "NEC Table 450.3(B)",
    ),
)
