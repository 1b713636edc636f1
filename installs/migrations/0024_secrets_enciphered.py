"""Secrets of authenticators are kept enciphered; those so far are enciphered under the key of today."""

from django.db import migrations, models

from installs.people.ciphers import deciphered, enciphered


def encipher(apps, schema_editor):
    for factor in apps.get_model("installs", "SecondFactor").objects.all():
        factor.secret = enciphered(factor.secret)
        factor.save(update_fields=["secret"])


def decipher(apps, schema_editor):
    """Back to plain; of another key it stays what it is."""
    for factor in apps.get_model("installs", "SecondFactor").objects.all():
        factor.secret = deciphered(factor.secret) or factor.secret[:64]
        factor.save(update_fields=["secret"])


class Migration(migrations.Migration):
    dependencies = [("installs", "0023_notes_in_the_log")]

    operations = [
        migrations.AlterField(
            model_name="secondfactor",
            name="secret",
            field=models.CharField(max_length=255, verbose_name="enciphered (ciphers.py)"),
        ),
        migrations.RunPython(encipher, decipher),
    ]
