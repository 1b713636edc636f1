from django.apps import AppConfig


class CrewConfig(AppConfig):
    name = "crew"
    verbose_name = "Crews and crew days"

    def ready(self) -> None:
        """The gates stand below the plan, and judge for its days."""
        from crew.plan.facts import of_crew_days, planned_days
        from installs.gates.planned import planned_by

        planned_by(planned_days, of_crew_days)
