"""The database refuses to change or delete facts, and says when a guard is missing."""

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from tests.training.people.record.make import make
from training.people.models import Authorisation
from training.people.record import triggers
from training.people.record.checks import check_guards
from training.people.record.models import AppendOnly, append_only_models
from training.people.record.verify import verify

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("model", append_only_models(), ids=lambda model: model._meta.label)
def test_update_and_delete_are_refused(model: type[AppendOnly]) -> None:
    row = make(model)
    rows = model._default_manager.filter(pk=row.pk)
    with pytest.raises(DatabaseError, match="refused"), transaction.atomic():
        rows.update(recorded_at=row.recorded_at)
    # A raw statement, because Django would refuse protected relations first.
    delete = f'DELETE FROM "{model._meta.db_table}"'
    with (
        pytest.raises(DatabaseError, match="refused"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(delete)
    assert rows.exists()


def test_every_append_only_table_is_guarded() -> None:
    assert triggers.expected(connection) <= triggers.installed(connection)
    assert check_guards(None, ["default"]) == []


def test_a_lost_guard_is_reported_by_the_system_check() -> None:
    triggers.lift(connection)
    messages = check_guards(None, ["default"])
    assert {m.id for m in messages} == {"record.E001"}
    assert len(messages) == len(triggers.expected(connection))
    triggers.install(connection)
    assert check_guards(None, ["default"]) == []


def test_migrating_puts_a_lost_guard_back() -> None:
    triggers.lift(connection)
    call_command("migrate", verbosity=0)
    assert triggers.expected(connection) <= triggers.installed(connection)


def test_a_fact_written_around_the_chain_is_refused() -> None:
    fact = make(Authorisation)
    stray = Authorisation(
        person=fact.person, kind="cutter", day=fact.day, recorded_at=fact.recorded_at, position=9
    )
    with pytest.raises(DatabaseError), transaction.atomic():
        stray.save(force_insert=True)


def test_a_removed_fact_is_found_out() -> None:
    make(Authorisation)
    fact = make(Authorisation)
    triggers.lift(connection)
    Authorisation.objects.filter(pk=fact.pk).delete()
    (found,) = verify().breaks
    assert "the chain ends at link 1" in str(found)
    triggers.install(connection)


def test_a_fact_removed_from_the_middle_is_found_out() -> None:
    first = make(Authorisation)
    make(Authorisation)
    triggers.lift(connection)
    Authorisation.objects.filter(pk=first.pk).delete()
    assert "link 1 is missing" in str(verify().breaks[0])
    triggers.install(connection)


def test_a_plant_is_never_flushed(settings: object) -> None:
    settings.RECORD_MAY_BE_FLUSHED = False  # type: ignore[attr-defined]
    with pytest.raises(CommandError, match="never deleted"):
        call_command("flush", interactive=False)
