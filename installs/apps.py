from django.apps import AppConfig


class InstallsConfig(AppConfig):
    name = "installs"
    verbose_name = "Installation jobs"

    def ready(self) -> None:
        """Rooms that judge field entries as they arrive are asked from the first entry on."""
        from installs.pour import judging

        judging.register()
