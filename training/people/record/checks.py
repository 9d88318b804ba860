"""The system check that compares the guards in the database with the list of models."""

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Error
from django.db import connections

from training.people.record import triggers


def check_guards(
    app_configs: Any, databases: Sequence[str] | None = None, **_: object
) -> list[CheckMessage]:
    """Say which append-only table has lost its guard; silent before the first migration."""
    messages: list[CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        with connection.cursor() as cursor:
            tables = set(connection.introspection.table_names(cursor))
        wanted = {pair for pair in triggers.expected(connection) if pair[1] in tables}
        for name, table in sorted(wanted - triggers.installed(connection)):
            messages.append(
                Error(
                    f"The table {table} has lost its guard {name}.",
                    hint="Run `manage.py migrate`: it puts the guards back.",
                    id="record.E001",
                )
            )
    return messages
