"""The application to the utility: the order of its states, its clock in business days, the screens.

progress.py says which state can follow which, clock.py what is due when, screens.py holds a small generator
against the utility's own figures. The utility decides; its tariff and its state's rules go before these.
"""

from sitecalc.inputs import Calculation

from .figures import ScreensCase
from .screens import check_screens

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "utility.screens",
        "Screens of an application to the utility against its own figures",
        ScreensCase,
        check_screens,
        "FERC SGIP (Order 792) 2.2.1; each utility's own limits",
    ),
)
