"""The reference panel: independent, repeated looks at specimens under one revision of the limits."""

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, GeneralLimits, WorkInstruction
from training.people.models import ErasableText, Fact, Person


class PanelRound(models.Model):
    """A set of specimens that the members of the panel judge, each so many times."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    looks = models.PositiveSmallIntegerField(_("looks of each member"), default=2)
    # Least days between two looks of one member at one specimen.
    gap_days = models.PositiveSmallIntegerField(_("days between looks"), default=1)
    note = models.CharField(max_length=400, blank=True)
    seed = models.CharField(max_length=40)
    members = models.ManyToManyField(Person, related_name="panel_rounds")
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        app_label = "specimens"
        ordering = ["-opened_at"]

    def __str__(self) -> str:
        return self.number


class PanelItem(models.Model):
    """A specimen of a round, and the revision of the limits it is judged by."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    round = models.ForeignKey(PanelRound, models.PROTECT, related_name="items")
    specimen = models.ForeignKey("specimens.Specimen", models.PROTECT, related_name="panel_items")
    work_instruction = models.ForeignKey(
        WorkInstruction, models.PROTECT, null=True, blank=True, related_name="+"
    )
    general = models.ForeignKey(
        GeneralLimits, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        app_label = "specimens"
        constraints = [
            models.UniqueConstraint(fields=["round", "specimen"], name="one_panel_item_per_round")
        ]

    def __str__(self) -> str:
        return f"{self.specimen_id}"


class PanelLook(Fact):
    """One member's verdict on one specimen, given without seeing anybody else's."""

    item = models.ForeignKey(PanelItem, models.PROTECT, related_name="panel_looks")
    member = models.ForeignKey(Person, models.PROTECT, related_name="panel_looks")
    number = models.PositiveSmallIntegerField()
    answer = models.CharField(max_length=10)
    family = models.ForeignKey(Family, models.PROTECT, null=True, blank=True, related_name="+")
    action = models.CharField(max_length=20, blank=True)
    looked_at = models.DateTimeField()
    judging_ms = models.PositiveIntegerField(default=0)
    words = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        app_label = "specimens"
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=["item", "member", "number"], name="one_panel_look_per_number"
            ),
        ]

    def __str__(self) -> str:
        return self.answer
