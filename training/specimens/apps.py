"""The specimens app: pictures of parts, what is wrong with them, and who said so."""

from django.apps import AppConfig


class SpecimensConfig(AppConfig):
    name = "training.specimens"
    label = "specimens"
    default_auto_field = "django.db.models.BigAutoField"
