"""The drafts that were set aside, each as the value of its part's declaration."""

import math

from django.db import migrations


def reported(part, value):
    """Columns to search by, as the parts work them out when a draft is saved."""
    if part == "TowerDesign":
        lengths = [row["length_ft"] for row in value["sections"]]
        return {"kind": value["kind"], "height_ft": sum(lengths) if lengths else None}
    if part == "TurbineDesign":
        return {"hub_ft": value["hub_ft"], "serial": value["serial"]}
    if part == "FoundationDesign":
        return {"volume_yd3": volume_yd3(value)}
    return {}


def volume_yd3(value):
    side = value["side_ft"]
    across = (value["other_side_ft"] or side) if value["outline"] == "rectangle" else side
    share = {"rectangle": 1.0, "octagon": 2 * (math.sqrt(2) - 1), "circle": math.pi / 4}[value["outline"]]
    pedestal = 0.0
    if value["pedestal"] and value["pedestal_side_ft"] and value["pedestal_height_ft"]:
        round_share = math.pi / 4 if value["pedestal"] == "round" else 1.0
        pedestal = round_share * value["pedestal_side_ft"] ** 2 * value["pedestal_height_ft"]
    return (share * side * across * value["thickness_ft"] + pedestal) / 27


def take_in(apps, schema_editor):
    for kept in apps.get_model("installs", "CarriedDraft").objects.order_by("pk"):
        model = apps.get_model("installs", kept.part)
        columns = {name: each for name, each in kept.columns.items() if name != "id"}
        changed_at = columns.pop("changed_at")
        draft = model(**columns, value=kept.value, **reported(kept.part, kept.value))
        if changed_at:
            draft.changed_at = model._meta.get_field("changed_at").to_python(changed_at)
        draft.save()


class Migration(migrations.Migration):
    dependencies = [("installs", "0007_drafts_as_values")]

    operations = [
        migrations.RunPython(take_in),
        migrations.DeleteModel("CarriedDraft"),
    ]
