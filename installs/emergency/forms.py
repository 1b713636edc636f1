from __future__ import annotations

from installs.emergency.models import EmergencyPlan
from installs.typed import RowForm


class EmergencyForm(RowForm[EmergencyPlan]):
    class Meta:
        model = EmergencyPlan
        fields = [
            "way_in",
            "hospital",
            "hospital_address",
            "hospital_phone",
            "drive_min",
            "muster",
            "landing",
            "utility_phone",
        ]
