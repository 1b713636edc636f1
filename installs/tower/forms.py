"""The schedule of inputs of the tower."""

from __future__ import annotations

from typing import Any

from installs.jobs.design_forms import DesignForm
from installs.jobs.rows import Column, RowsField
from installs.tower.balloons import BALLOONS
from installs.tower.models import TowerDesign
from sitecalc.tower.bolt_tables import sizes

GRADES = ("SAE 2", "SAE 5", "SAE 8", "A325", "A490", "8.8", "10.9", "12.9")
TIGHTENING = ("torque", "turn of nut", "calibrated wrench")
SECTIONS = (
    Column("length_ft", "Length", unit="ft", low=1, high=120),
    Column("bottom_in", "Width at bottom", unit="in", low=3, high=360),
    Column("top_in", "Width at top", unit="in", low=3, high=360),
    Column("weight_lb", "Weight", unit="lb", low=5, high=500_000, required=False),
    Column("leg_area_in2", "One leg's steel", unit="in2", low=0.05, high=100, required=False),
    Column("wall_in", "Tube wall", unit="in", low=0.03, high=4, required=False),
)
JOINTS = (
    Column("bolts", "Bolts a leg", unit="", low=1, high=60),
    Column("size", "Size", choices=sizes()),
    Column("grade", "Grade", choices=GRADES),
    Column("carries", "Bolts carry", choices=("tension", "shear")),
    Column("tightening", "Tightened by", choices=TIGHTENING),
    Column("torque_ft_lb", "Maker's torque", unit="ft-lb", low=1, high=20_000, required=False),
    Column("grip_in", "Bolt length", unit="in", low=0.25, high=60, required=False),
    Column("circle_in", "Bolt circle, tube", unit="in", low=3, high=360, required=False),
)


class TowerForm(DesignForm):
    BALLOONS = BALLOONS

    sections = RowsField(SECTIONS, label="Sections from the foot up", required=False)
    joints = RowsField(JOINTS, label="Joints between them, from the foot up", required=False)

    class Meta:
        model = TowerDesign
        fields = list(BALLOONS)
        help_texts = {
            "nut_factor": "Say in the note where it was measured or who states it.",
            "moment_kip_ft": "At the foot, from the tower's maker or the engineer.",
            "spring_kip_ft_rad": "Without it the foot is held fixed, and the frequency is at its highest.",
            "wind_mph": "With it the stated moment is held against a rough ASCE 7 estimate.",
            "gust_factor": "A tower slower than 1 Hz needs its own, from the engineer.",
            "skip_low_rpm": "Only by the turbine maker's letter.",
            "load_factor": "1.0 for strength level; others as their maker states.",
        }

    def clean_joints(self) -> list[dict[str, Any]]:
        """Whole numbers of bolts."""
        rows = self.cleaned_data["joints"]
        for number, row in enumerate(rows, start=1):
            if row["bolts"] != round(row["bolts"]):
                self.add_error("joints", f"Joint {number}: {row['bolts']:g} bolts is not a whole number.")
        return rows
