"""Whoever alters any column of any fact is found out."""

import pytest
from django.db import connection, models

from tests.training.people.record.make import make, other_value
from training.people.record import triggers
from training.people.record.models import Fact, fact_models
from training.people.record.verify import verify

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("model", fact_models(), ids=lambda model: model._meta.label)
def test_an_altered_column_is_found_out(model: type[Fact]) -> None:
    fact = make(model)
    assert verify().breaks == ()
    triggers.lift(connection)
    for field in model._meta.concrete_fields:
        _alter_and_check(model, fact, field)
    assert verify().breaks == ()


def _alter_and_check(model: type[Fact], fact: Fact, field: models.Field) -> None:
    value = getattr(fact, field.attname)
    rows = model._default_manager.filter(pk=fact.pk)
    altered = other_value(field, value)
    assert rows.update(**{field.attname: altered}) == 1
    broken = verify().breaks
    pk = altered if field.primary_key else fact.pk
    model._default_manager.filter(pk=pk).update(**{field.attname: value})
    assert broken, f"{model._meta.label}.{field.attname} was altered unnoticed"
