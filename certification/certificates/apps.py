"""The certificates app: who may judge which family, until when, and on what evidence."""

from django.apps import AppConfig


class CertificatesConfig(AppConfig):
    name = "certification.certificates"
    label = "certificates"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from certification.certificates.corrected import (  # noqa: PLC0415 - needs the models
            certificates_resting,
        )
        from training.specimens.resting import tell_what_rests  # noqa: PLC0415

        tell_what_rests("certificates", certificates_resting, place=2)
