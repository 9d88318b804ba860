"""The specimens app: pictures of parts, what is wrong with them, and who said so."""

from django.apps import AppConfig


class SpecimensConfig(AppConfig):
    name = "training.specimens"
    label = "specimens"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from training.floor.moving import tell_what_moves  # noqa: PLC0415 - needs the models
        from training.specimens.moving_words import specimens_moving  # noqa: PLC0415

        tell_what_moves("specimens", specimens_moving)
