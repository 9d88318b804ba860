"""The site app: the composition root that wires every other app together."""

from django.apps import AppConfig, apps
from django.db.models.signals import post_migrate


class SiteConfig(AppConfig):
    name = "certification.site"
    label = "site_root"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from certification.site import roles  # noqa: PLC0415

        # Django signals only apps that have models; the groups belong to those of people.
        sender = apps.get_app_config("people")
        post_migrate.connect(roles.create_groups, sender=sender, dispatch_uid="site.roles")
