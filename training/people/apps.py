"""The people app: who signs in, what they may do, and the record everything is written to."""

from django.apps import AppConfig
from django.core.checks import Tags, register
from django.db.models.signals import post_migrate


class PeopleConfig(AppConfig):
    name = "training.people"
    label = "people"
    verbose_name = "People"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # The record keeps its guards through every migration: they are put back whenever one ends.
        from training.people.record import checks, triggers  # noqa: PLC0415

        post_migrate.connect(triggers.install_after_migrate, dispatch_uid="record.triggers")
        register(checks.check_guards, Tags.database)
