"""The site as a row of the table of parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.jobs.models import DesignRevision
from installs.jobs.parts import Part, Sheet, Taken, Taking
from installs.site.book import strip
from installs.site.models import SiteDesign
from installs.site.review import review
from installs.site.sheets import energy_sheet, plan_sheet
from installs.turbine.labels import labels
from installs.turbine.machine import released_machine, turbine_given

# what setbacks, sound, wind and energy are worked out with
OF_THE_MACHINE = (
    "name", "iec_class", "rated_kw", "rotor_diameter_ft", "cut_in_mph", "cut_out_mph", "sound_dba",
    "density_rule", "curve",
)  # fmt: skip


OF_THE_TURBINE = {
    "turbine.hub_ft": ("Hub above grade", "ft"),
    "turbine.source": ("Machine and hub taken from", ""),
}


def given(draft: SiteDesign) -> dict[str, Any]:
    """The machine and its hub height as the turbine's draft has them."""
    chosen = turbine_given(draft.job)
    if chosen is None:
        return {"turbine": None}
    return {"turbine": {"machine": vars(chosen.machine), "hub_ft": chosen.hub_ft, "source": chosen.source}}


def _taken(inputs: Mapping[str, Any]) -> Taken:
    turbine = inputs.get("turbine")
    if turbine is None:
        return Taken({}, given=False)
    machine = {name: turbine["machine"][name] for name in OF_THE_MACHINE}
    return Taken({"hub_ft": turbine["hub_ft"], **machine}, given=True)


def _offered(revision: DesignRevision) -> dict[str, Any]:
    given = released_machine(revision)
    if given is None:
        return {}
    return {"hub_ft": given.hub_ft, **{name: getattr(given.machine, name) for name in OF_THE_MACHINE}}


PART = Part(
    key="site",
    room="site",
    title="Site",
    page="site",
    sheet="S",
    phase="survey",
    draft=SiteDesign,
    review=review,
    sheets=(Sheet("plan", plan_sheet), Sheet("energy", energy_sheet)),
    criteria=("codes", "legal", "latitude_deg", "longitude_deg"),
    strip=strip,
    given=given,
    labels=lambda: {**OF_THE_TURBINE, **labels("turbine.machine")},
    stands_on=(
        Taking(
            part="turbine",
            taken=_taken,
            offered=_offered,
            words={
                "name": ("machine", "{}"),
                "hub_ft": ("hub height", "hub at {:,.4g} ft"),
                "rotor_diameter_ft": ("rotor", "rotor of {:,.4g} ft"),
                "rated_kw": ("rated power", "{:,.4g} kW"),
                "sound_dba": ("sound level", "sound of {:,.4g} dBA"),
            },
        ),
    ),
)
