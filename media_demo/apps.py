"""The demo app: an invented plant to learn and test with."""

from django.apps import AppConfig


class MediaDemoConfig(AppConfig):
    name = "media_demo"
    label = "media_demo"
    default_auto_field = "django.db.models.BigAutoField"
