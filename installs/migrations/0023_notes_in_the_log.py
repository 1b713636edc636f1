"""What was noted beside entries so far gets its line in the job's log, to be held to from now on."""

from django.db import migrations
from django.utils import timezone

from installs.chain import START_OF_CHAIN, digest


def into_the_log(apps, schema_editor):
    Entry, Event = apps.get_model("installs", "Entry"), apps.get_model("installs", "Event")
    now = timezone.now()
    noted = Entry.objects.exclude(noted={}).select_related("person").order_by("job", "sequence")
    for entry in noted.iterator():
        last = Event.objects.filter(job=entry.job_id).order_by("-sequence").first()
        event = Event(
            job_id=entry.job_id,
            sequence=last.sequence + 1 if last else 1,
            verb="entry noted",
            what=f"{entry.code}, entry {entry.sequence}: {'; '.join(map(str, entry.noted.values()))}."[:500],
            data={"entry": str(entry.uuid), "sequence": entry.sequence, "noted": entry.noted},
            by_id=entry.person_id,
            at=now,
            previous_hash=last.hash if last else START_OF_CHAIN,
        )
        event.hash = digest(
            [event.job_id, event.sequence, event.verb, event.what, event.data, event.by_id,
             now.isoformat(), event.previous_hash]
        )
        event.save(force_insert=True)


class Migration(migrations.Migration):
    dependencies = [("installs", "0022_renumbered")]

    operations = [migrations.RunPython(into_the_log, migrations.RunPython.noop)]
