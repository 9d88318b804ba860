"""Specimens that belong together: ladders of severity, contrasts in one thing, look-alikes."""

import uuid
from typing import Final

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, Job, Zone
from training.people.texts import TextField


class SpecimenSet(models.Model):
    """Teaching specimens of one job and zone that are shown together, in their order."""

    class Kind(models.TextChoices):
        LADDER = "ladder", _("ladder of severity")
        CONTRAST = "contrast", _("contrast in one thing")
        LOOK_ALIKE = "look_alike", _("look-alikes")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=20, choices=Kind)
    job = models.ForeignKey(Job, models.PROTECT, related_name="specimen_sets")
    zone = models.CharField(max_length=1, choices=Zone)
    # Of look-alikes the first member's; the members say the rest.
    family = models.ForeignKey(Family, models.PROTECT, related_name="specimen_sets")
    # The one thing the members differ in; of look-alikes, the test that tells them apart.
    difference = TextField()
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    retired_day = models.DateField(null=True, blank=True)

    class Meta:
        app_label = "specimens"
        ordering = ["family", "kind", "created_at"]

    def __str__(self) -> str:
        return f"{self.kind} {self.family_id}"


class SetMember(models.Model):
    """A specimen's place in a set: of a ladder the severity rises with it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    set = models.ForeignKey(SpecimenSet, models.CASCADE, related_name="members")
    specimen = models.ForeignKey("specimens.Specimen", models.PROTECT, related_name="set_members")
    position = models.PositiveSmallIntegerField()

    class Meta:
        app_label = "specimens"
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["set", "position"], name="one_member_per_place"),
            models.UniqueConstraint(fields=["set", "specimen"], name="a_member_stands_once"),
        ]

    def __str__(self) -> str:
        return f"{self.position}"


# Fewer rungs than this leave the line nowhere to lie; more are not walked along in earnest.
LADDER_LEAST: Final = 4
LADDER_MOST: Final = 12
