"""Verify the whole record and name the first row of each chain that does not hold."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from training.people.record import triggers
from training.people.record.verify import verify


class Command(BaseCommand):
    help = "Recompute every hash, commitment and seal of the record and check its guards."

    def handle(self, *args: Any, **options: Any) -> None:
        outcome = verify()
        missing = triggers.expected(connection) - triggers.installed(connection)
        for item in outcome.breaks:
            self.stderr.write(f"broken: {item}")
        for name, table in sorted(missing):
            self.stderr.write(f"unguarded: {table} has lost {name}")
        if outcome.breaks or missing:
            raise CommandError("The record does not hold.")
        self.stdout.write(
            f"The record holds: {outcome.facts} facts in {outcome.chains} chains, every table guarded."
        )
