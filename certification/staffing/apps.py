"""The staffing app: shifts, orders, attendance, turns taken and the press check."""

from django.apps import AppConfig


class StaffingConfig(AppConfig):
    name = "certification.staffing"
    label = "staffing"
    default_auto_field = "django.db.models.BigAutoField"
