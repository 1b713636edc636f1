from django.apps import AppConfig


class InstallsConfig(AppConfig):
    name = "installs"
    verbose_name = "Installation jobs"

    def ready(self) -> None:
        """Rooms that know more than those below them say so: they are asked from the first entry on."""
        from django import forms

        import installs.celery  # noqa: F401  (the app by which a queue's worker is woken)
        from installs.checklists.said import declared
        from installs.checklists.taking import judged_by
        from installs.firm.facts import known_counties, known_names
        from installs.firm.models import ContactKind
        from installs.foundation.said import SAID as of_survey
        from installs.gates import judging as gates
        from installs.gates import stopping
        from installs.gates.before_pour import day_facts
        from installs.gates.said import SAID as of_stops
        from installs.jobs.forms import OFFERED
        from installs.jobs.parts import register
        from installs.jobs.services import BEFORE_RELEASE
        from installs.kits.services import asked_of_kit
        from installs.lift import judging as lift
        from installs.measures import plain_words, sane_day
        from installs.parts import PARTS
        from installs.people.models import ON_SERVER
        from installs.people.services import made_on_server
        from installs.pour import judging as pour
        from installs.pour.readiness import answered_by
        from installs.pour.said import SAID as of_pour
        from installs.tower.said import SAID as of_torque

        ON_SERVER.append(made_on_server)
        register(PARTS)
        OFFERED["county"] = known_counties
        OFFERED["authority"] = lambda: known_names(ContactKind.AUTHORITY, "authority")
        OFFERED["utility"] = lambda: known_names(ContactKind.UTILITY, "utility")
        BEFORE_RELEASE.append(asked_of_kit)
        declared((*of_pour, *of_torque, *of_survey, *of_stops))
        judged_by(stopping.judge)
        judged_by(gates.judge)  # first: whether the pour has begun is on record before its trucks are judged
        judged_by(pour.judge)
        judged_by(lift.judge)
        answered_by(day_facts)
        # every form's words must be printable and its dates possible, those of model forms too
        forms.CharField.default_validators = [plain_words]
        forms.DateField.default_validators = [sane_day]
