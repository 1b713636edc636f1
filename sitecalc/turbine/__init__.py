"""The turbine: the figures of a job's machine. Its calculations stand with site, tower and ground station."""

from sitecalc.inputs import Calculation

CALCULATIONS: tuple[Calculation, ...] = ()
