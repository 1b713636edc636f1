from django.apps import AppConfig


class InstallsConfig(AppConfig):
    name = "installs"
    verbose_name = "Installation jobs"

    def ready(self) -> None:
        """Rooms that judge field entries as they arrive are asked from the first entry on."""
        from django import forms

        from installs.jobs.parts import register
        from installs.measures import plain_words, sane_day
        from installs.parts import PARTS
        from installs.pour import judging

        register(PARTS)
        judging.register()
        # every form's words must be printable and its dates possible, those of model forms too
        forms.CharField.default_validators = [plain_words]
        forms.DateField.default_validators = [sane_day]
