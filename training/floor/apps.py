"""The floor app: presses, jobs, limits, work instructions, first pieces, alerts and turns."""

from django.apps import AppConfig


class FloorConfig(AppConfig):
    name = "training.floor"
    label = "floor"
    default_auto_field = "django.db.models.BigAutoField"
