"""The certificates app: who may judge which family, until when, and on what evidence."""

from django.apps import AppConfig


class CertificatesConfig(AppConfig):
    name = "certification.certificates"
    label = "certificates"
    default_auto_field = "django.db.models.BigAutoField"
