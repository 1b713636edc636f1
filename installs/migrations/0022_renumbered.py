import django.db.models.deletion
from django.db import migrations, models


def numbers_so_far(apps, schema_editor):
    """The numbers of today, and by each job's log those it had before, unless another job has one by now."""
    JobNumber, Event = apps.get_model("installs", "JobNumber"), apps.get_model("installs", "Event")
    for job in apps.get_model("installs", "Job").objects.order_by("pk"):
        JobNumber.objects.create(job=job, number=job.number, since=job.created_at)
    changed = Event.objects.filter(verb="job changed", data__number__0__isnull=False).order_by("-at", "-pk")
    for event in changed:
        before = {"job_id": event.job_id, "since": event.at}
        JobNumber.objects.get_or_create(number=event.data["number"][0], defaults=before)


class Migration(migrations.Migration):
    dependencies = [("installs", "0021_noted")]

    operations = [
        migrations.CreateModel(
            name="JobNumber",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.CharField(max_length=12, unique=True)),
                ("since", models.DateTimeField()),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="numbers",
                        to="installs.job",
                    ),
                ),
            ],
            options={"ordering": ["since", "pk"]},
        ),
        migrations.RunPython(numbers_so_far, migrations.RunPython.noop, elidable=True),
    ]
