"""Refuse to empty a plant's database; allow it to the tests, which lift the guards for it."""

from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.core.management.commands.flush import Command as FlushCommand
from django.db import connections

from training.people.record import triggers


class Command(FlushCommand):
    help = "Empty the database: only the tests may, because the record is never deleted."

    def handle(self, **options: Any) -> None:
        if not settings.RECORD_MAY_BE_FLUSHED:
            raise CommandError("Refused: the record of a plant is never deleted.")
        with triggers.lifted(connections[options["database"]]):
            super().handle(**options)
