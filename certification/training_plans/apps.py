"""The training plans app: the way to the press, and what is due next."""

from django.apps import AppConfig


class TrainingPlansConfig(AppConfig):
    name = "certification.training_plans"
    label = "training_plans"
    default_auto_field = "django.db.models.BigAutoField"
