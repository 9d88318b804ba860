"""The quizzes app: exam plans, sittings, judgements and results."""

from django.apps import AppConfig


class QuizzesConfig(AppConfig):
    name = "training.quizzes"
    label = "quizzes"
    default_auto_field = "django.db.models.BigAutoField"
