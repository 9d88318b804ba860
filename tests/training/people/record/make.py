"""Making one row of any model, facts through the chain, with every column filled."""

import datetime as dt
import itertools
import uuid
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db import models

from training.people.record.chain import append, erasable
from training.people.record.models import AppendOnly, ErasableText, Fact

NOW = dt.datetime(2026, 11, 25, 12, 0, 0, 123456, tzinfo=dt.UTC)
BOOKKEEPING = {"chain", "position", "previous_hash", "hash", "id", "corrects"}
counter = itertools.count(1)


def make(model: type[models.Model], depth: int = 0) -> Any:
    """Return a saved row of the model; relations are made too, optional ones only near the top."""
    if model is ErasableText:
        return erasable("words about somebody")
    values = {}
    for field in model._meta.concrete_fields:
        if field.name in BOOKKEEPING and issubclass(model, AppendOnly):
            continue
        if isinstance(field, models.ForeignKey):
            if not field.null or (depth == 0 and field.related_model is not model):
                values[field.name] = make(field.related_model, depth + 1)
        elif not field.primary_key:
            values[field.name] = value_for(field)
    _one_of(model, values)
    row = model(**values)
    if isinstance(row, Fact):
        append(row)
    else:
        row.save(force_insert=True)
    return row


def _one_of(model: type[models.Model], values: dict[str, Any]) -> None:
    """Keep to the rules of models that must have exactly one of several parents."""
    other = {"View": "first_piece", "PartCopy": "limit_sample"}.get(model.__name__)
    if other is not None:
        values.pop(other, None)
        values["specimen"] = values.get("specimen") or make(apps.get_model("specimens.Specimen"), 1)


def value_for(field: Any) -> Any:
    number = next(counter)
    if field.choices:
        return field.choices[0][0]
    makers: dict[type, Any] = {
        models.UUIDField: uuid.uuid4,
        models.DateTimeField: lambda: NOW,
        models.DateField: NOW.date,
        models.TimeField: lambda: dt.time(6, 0),
        models.BooleanField: lambda: True,
        models.DecimalField: lambda: Decimal("1.2500"),
        models.JSONField: lambda: {"en": f"word {number}", "es": f"palabra {number}"},
        models.EmailField: lambda: f"a{number}@example.org",
        models.CharField: lambda: f"t{number}"[: field.max_length],
        models.TextField: lambda: f"t{number}",
        models.IntegerField: lambda: 3,
    }
    for kind in type(field).__mro__:
        if kind in makers:
            return makers[kind]()
    raise AssertionError(f"no value for {field!r}")


def other_value(field: Any, value: Any) -> Any:
    """Return a value of the column that is not the one it has."""
    if isinstance(field, models.ForeignKey):
        return "0" * 64 if field.related_model is ErasableText else uuid.uuid4()
    if isinstance(field, models.UUIDField):
        return uuid.uuid4()
    if isinstance(field, models.DateTimeField):
        return (value or NOW) + dt.timedelta(microseconds=1)
    if isinstance(field, models.DateField):
        return (value or NOW.date()) + dt.timedelta(days=1)
    if isinstance(field, models.BooleanField):
        return not value
    if isinstance(field, models.DecimalField):
        return (value or Decimal(0)) + Decimal("0.0001")
    if isinstance(field, models.IntegerField):
        return (value or 0) + 1
    if isinstance(field, models.JSONField):
        return {"en": "altered"}
    altered = ("x" if not str(value).startswith("x") else "y") + str(value)[1:]
    return altered[: field.max_length]
