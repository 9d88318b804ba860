"""Grants at ordinary level what the published rule grants by itself; safe to run at any time."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from certification.certificates.services import grant_by_rule


class Command(BaseCommand):
    help = "Grant, by the published rule, the ordinary level of passed exams that wait."

    def handle(self, *args: Any, **options: Any) -> None:
        for certificate in grant_by_rule(moment=timezone.now()):
            person, family = certificate.person, certificate.family
            self.stdout.write(
                f"{person.personnel_no} {person.name}: {family.slug} until {certificate.expires_day}"
            )
