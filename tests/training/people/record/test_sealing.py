"""A sealed day can be checked, and a chain that was recomputed after the seal is found out."""

import datetime as dt
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from tests.training.people.record.make import NOW, make
from training.people.models import Authorisation, ChainHead, DayHead
from training.people.record import triggers
from training.people.record.canonical import GENESIS
from training.people.record.sealing import seal_day, seal_holds
from training.people.record.verify import verify

pytestmark = pytest.mark.django_db


def test_a_day_is_sealed_once() -> None:
    make(Authorisation)
    seal = seal_day(NOW.date(), moment=NOW)
    assert seal_holds(seal)
    assert seal_day(NOW.date(), moment=NOW + dt.timedelta(hours=1)) == seal
    assert verify().breaks == ()


def test_an_altered_seal_does_not_hold() -> None:
    seal = seal_day(NOW.date(), moment=NOW)
    DayHead.objects.update(hash="f" * 64)
    seal.refresh_from_db()
    assert not seal_holds(seal)
    assert "signature does not hold" in str(verify().breaks[0])


def test_a_chain_recomputed_after_the_seal_is_found_out() -> None:
    fact = make(Authorisation)
    seal_day(NOW.date(), moment=NOW)
    triggers.lift(connection)
    fact.kind, fact.previous_hash = "lift", GENESIS
    fact.hash = fact.computed_hash()
    Authorisation.objects.filter(pk=fact.pk).update(kind="lift", hash=fact.hash)
    ChainHead.objects.update(hash=fact.hash)
    triggers.install(connection)
    (found,) = verify().breaks
    assert "not the one that was sealed" in str(found)


def test_the_command_says_whether_the_record_holds() -> None:
    make(Authorisation)
    out = StringIO()
    call_command("verify_records", stdout=out)
    assert "The record holds: 1 facts in 1 chains" in out.getvalue()
    ChainHead.objects.update(position=7)
    errors = StringIO()
    with pytest.raises(CommandError, match="does not hold"):
        call_command("verify_records", stdout=out, stderr=errors)
    assert "broken: plant 7" in errors.getvalue()


def test_seal_day_command_prints_the_signature() -> None:
    out = StringIO()
    call_command("seal_day", "--day", "2026-11-24", stdout=out)
    assert DayHead.objects.get().signature in out.getvalue()
