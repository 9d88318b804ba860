"""The lessons app: lesson revisions, their examples and who read them."""

from django.apps import AppConfig


class LessonsConfig(AppConfig):
    name = "training.lessons"
    label = "lessons"
    default_auto_field = "django.db.models.BigAutoField"
