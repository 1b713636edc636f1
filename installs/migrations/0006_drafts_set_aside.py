"""Drafts are carried from a column a figure to one value a draft: first, all of them as JSON beside the tables."""

import datetime

from django.db import migrations, models

PARTS = (
    "SiteDesign",
    "TurbineDesign",
    "TowerDesign",
    "FoundationDesign",
    "PourDesign",
    "GroundStationDesign",
    "LiftDesign",
)
# what stays a column; the rest are figures
COLUMNS = {"id", "job", "which", "notes", "changed_at", "changed_by"}
NOT_KEPT = {"typed"}


def plain(value):
    return value.isoformat() if isinstance(value, (datetime.date, datetime.time)) else value


def set_aside(apps, schema_editor):
    kept = apps.get_model("installs", "CarriedDraft")
    for part in PARTS:
        for draft in apps.get_model("installs", part).objects.order_by("pk"):
            columns, value = {}, {}
            for field in draft._meta.concrete_fields:
                if field.name in NOT_KEPT:
                    continue
                is_column = field.name in COLUMNS or field.is_relation
                (columns if is_column else value)[field.attname] = plain(field.value_from_object(draft))
            kept.objects.create(part=part, columns=columns, value=value)


class Migration(migrations.Migration):
    dependencies = [("installs", "0005_phones_ended")]

    operations = [
        migrations.CreateModel(
            name="CarriedDraft",
            fields=[
                ("id", models.BigAutoField(primary_key=True, serialize=False)),
                ("part", models.CharField(max_length=30)),
                ("columns", models.JSONField()),
                ("value", models.JSONField()),
            ],
        ),
        migrations.RunPython(set_aside),
    ]
