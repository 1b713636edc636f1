from django.apps import AppConfig


class CrewConfig(AppConfig):
    name = "crew"
    verbose_name = "Crews and crew days"
