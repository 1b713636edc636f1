from sitecalc.inputs import Calculation

CALCULATIONS: tuple[Calculation, ...] = ()
