"""The matrix app: who may run which job at any moment; it only reads."""

from django.apps import AppConfig


class MatrixConfig(AppConfig):
    name = "certification.matrix"
    label = "matrix"
    default_auto_field = "django.db.models.BigAutoField"
