"""The guards in the database: triggers that refuse changes to append-only tables.

They are put in place after every migration because on SQLite some schema changes rebuild a table
and silently drop its triggers.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from training.people.record.models import append_only_models

REFUSAL = "refused: rows of {table} are never changed; write a correction instead"


def table_names() -> list[str]:
    return [model._meta.db_table for model in append_only_models()]


def install_after_migrate(sender: Any, using: str, **_: object) -> None:
    """Put the guards in place on whichever append-only tables exist by now."""
    if getattr(sender, "label", None) == "people" or sender is None:
        connection = connections[using]
        with connection.cursor() as cursor:
            present = set(connection.introspection.table_names(cursor))
        install(connection, [table for table in table_names() if table in present])


def install(connection: BaseDatabaseWrapper, tables: list[str] | None = None) -> None:
    make = _postgres_guards if connection.vendor == "postgresql" else _sqlite_guards
    with connection.cursor() as cursor:
        for table in tables if tables is not None else table_names():
            for statement in make(table):
                cursor.execute(statement)


def lift(connection: BaseDatabaseWrapper) -> None:
    """Take the guards away: for the tests' flush and for nothing else."""
    with connection.cursor() as cursor:
        present = installed(connection)
        for name, table in sorted(present):
            on_table = f' ON "{table}"' if connection.vendor == "postgresql" else ""
            cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on_table}')


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Lift the guards for the block and put them back, whatever happens."""
    lift(connection)
    try:
        yield
    finally:
        install(connection)


def installed(connection: BaseDatabaseWrapper) -> set[tuple[str, str]]:
    """Return the guards that the database has, as (trigger, table)."""
    query = (
        "SELECT tgname, relname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
        " WHERE tgname LIKE 'refuse_%%' AND NOT tgisinternal"
        if connection.vendor == "postgresql"
        else "SELECT name, tbl_name FROM sqlite_master"
        " WHERE type = 'trigger' AND name LIKE 'refuse_%%'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query, [])
        return {(str(name), str(table)) for name, table in cursor.fetchall()}


def expected(connection: BaseDatabaseWrapper) -> set[tuple[str, str]]:
    """Return the guards that the database should have."""
    kinds = ["update", "delete"] + (["truncate"] if connection.vendor == "postgresql" else [])
    return {(f"refuse_{kind}_{table}", table) for table in table_names() for kind in kinds}


def _sqlite_guards(table: str) -> list[str]:
    text = REFUSAL.format(table=table)
    return [
        f'CREATE TRIGGER IF NOT EXISTS "refuse_{kind}_{table}" BEFORE {kind.upper()} ON "{table}" '
        f"BEGIN SELECT RAISE(ABORT, '{text}'); END"
        for kind in ("update", "delete")
    ]


def _postgres_guards(table: str) -> list[str]:
    statements = [
        "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger AS $body$ BEGIN "
        "RAISE EXCEPTION 'refused: rows of %% are never changed; write a correction instead', "
        "TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; "
        "END $body$ LANGUAGE plpgsql".replace("%%", "%")
    ]
    for kind, each in (("update", "ROW"), ("delete", "ROW"), ("truncate", "STATEMENT")):
        statements.append(
            f'CREATE OR REPLACE TRIGGER "refuse_{kind}_{table}" BEFORE {kind.upper()} '
            f'ON "{table}" FOR EACH {each} EXECUTE FUNCTION refuse_change()'
        )
    return statements
