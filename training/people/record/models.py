"""The models of the record: facts that are never changed, and the chains that hold them."""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length

from training.people.record.canonical import fact_hash

PLANT = "plant"

models.CharField.register_lookup(Length)


class AppendOnly(models.Model):
    """A row that the database refuses to change or delete."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    recorded_at = models.DateTimeField()

    class Meta:
        abstract = True


class Fact(AppendOnly):
    """An append-only row that is part of a chain: its hash covers its values and the link before.

    Rows are written by `training.people.record.chain.append` and by nothing else.
    """

    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    chain = models.CharField(max_length=60)
    position = models.PositiveBigIntegerField()
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        abstract = True
        constraints = [
            models.UniqueConstraint(
                fields=["chain", "position"], name="%(app_label)s_%(class)s_link_once"
            ),
            models.CheckConstraint(
                condition=Q(hash__length=64), name="%(app_label)s_%(class)s_is_chained"
            ),
        ]

    def chained_values(self) -> dict[str, Any]:
        """Return what the hash covers: every column but the hash itself, by column name."""
        values: dict[str, Any] = {}
        for field in self._meta.concrete_fields:
            if field.attname != "hash":
                value = field.to_python(getattr(self, field.attname))
                if isinstance(field, models.DecimalField) and value is not None:
                    # The database may give back fewer decimals than were written.
                    value = round(value, field.decimal_places)
                values[field.attname] = value
        return values

    def computed_hash(self) -> str:
        return fact_hash(self._meta.label_lower, self.chained_values())


class ChainHead(models.Model):
    """The last link of a chain; the row is locked while links are added."""

    name = models.CharField(primary_key=True, max_length=60)
    position = models.PositiveBigIntegerField(default=0)
    hash = models.CharField(max_length=64)

    class Meta:
        app_label = "people"

    def __str__(self) -> str:
        return f"{self.name} {self.position}"


class ErasableText(models.Model):
    """Words about people that can be erased without breaking the chain.

    The key is the salted commitment of the text; facts point to it and so hash only the commitment.
    Erasing empties text and salt and keeps the key.
    """

    commitment = models.CharField(primary_key=True, max_length=64)
    text = models.TextField(blank=True)
    salt = models.CharField(max_length=32, blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)
    erased_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    erased_because = models.CharField(max_length=200, blank=True)

    class Meta:
        app_label = "people"

    def __str__(self) -> str:
        return self.text


class DayHead(models.Model):
    """The plant chain's head at the end of a day, signed with the plant's key (Ed25519)."""

    day = models.DateField(unique=True)
    position = models.PositiveBigIntegerField()
    hash = models.CharField(max_length=64)
    sealed_at = models.DateTimeField()
    public_key = models.CharField(max_length=64)
    signature = models.CharField(max_length=128)

    class Meta:
        app_label = "people"
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day} {self.hash[:12]}"


def append_only_models() -> list[type[AppendOnly]]:
    """Return every concrete append-only model, by label: the one list the guards are made from."""
    from django.apps import apps  # noqa: PLC0415 - the registry is full only after start-up

    found = [model for model in apps.get_models() if issubclass(model, AppendOnly)]
    return sorted(found, key=lambda model: model._meta.label_lower)


def fact_models() -> list[type[Fact]]:
    return [model for model in append_only_models() if issubclass(model, Fact)]
