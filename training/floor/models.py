"""The floor: presses, jobs, defect families, and what a job still accepts."""

import datetime as dt
import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.choices import Level, Zone
from training.floor.papers import (
    Alert,
    Concession,
    FirstPiece,
    Gauge,
    GeneralLimits,
    LimitLine,
    LimitSample,
    WorkInstruction,
    WorkInstructionQuerySet,
)
from training.floor.records import Acknowledgement, ConcessionCount, PaceChange, Turn, TurnEnd
from training.people.texts import TextField

__all__ = [
    "Acknowledgement",
    "Alert",
    "Caution",
    "Concession",
    "ConcessionCount",
    "Family",
    "FamilyGroup",
    "FirstPiece",
    "Gauge",
    "GeneralLimits",
    "Job",
    "JobGroup",
    "JobQuerySet",
    "Level",
    "LimitLine",
    "LimitSample",
    "PaceChange",
    "Press",
    "Product",
    "Turn",
    "TurnEnd",
    "WorkInstruction",
    "WorkInstructionQuerySet",
    "Zone",
]


class FamilyGroup(models.Model):
    """Look-alike families that are examined together."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.SlugField(unique=True)
    name = TextField()
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "code"]

    def __str__(self) -> str:
        return self.code


class Family(models.Model):
    """A kind of defect with one name, one lesson and one certificate."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    slug = models.SlugField(unique=True)
    name = TextField()
    # A word or two for cells and reasons; without it the whole name is used.
    short_name = TextField(null=True, blank=True)
    group = models.ForeignKey(FamilyGroup, models.PROTECT, related_name="families")
    position = models.PositiveSmallIntegerField(default=0)
    judged_by = models.JSONField(default=dict)
    tested_with = models.JSONField(default=list)
    place = models.JSONField(default=dict)
    default_severity = models.CharField(max_length=10, default="minor")
    always_critical = models.BooleanField(default=False)
    critical_when = TextField(null=True, blank=True)

    class Meta:
        ordering = ["position", "slug"]
        verbose_name_plural = "families"

    def __str__(self) -> str:
        return self.slug

    @property
    def short(self) -> dict[str, str]:
        """The short name in every language, or the whole one."""
        words: dict[str, str] = self.short_name or self.name
        return words


class Press(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=10, unique=True)
    clamp_tonnes = models.PositiveIntegerField()
    cell = models.CharField(max_length=10, blank=True)
    next_press = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "presses"

    def __str__(self) -> str:
        return self.code


class Product(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=20, unique=True)
    name = TextField()
    appliance = TextField(null=True, blank=True)
    customer = models.CharField(max_length=80, blank=True)
    material = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class JobGroup(models.Model):
    """Jobs (hands, colours) whose observed check and hours count for each other."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=20, unique=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class Caution(models.Model):
    """A hazard in words: what must not be done, and whom to call."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.SlugField(unique=True)
    title = TextField()
    text = TextField()
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "code"]

    def __str__(self) -> str:
        return self.code


class JobQuerySet(models.QuerySet["Job"]):
    def running(self, day: dt.date) -> "JobQuerySet":
        """Jobs that are not ended before the day."""
        return self.filter(models.Q(ended_day=None) | models.Q(ended_day__gte=day))


class Job(models.Model):
    """What runs on a press: tool, part and the customer's sheet. The number is permanent."""

    class Hand(models.TextChoices):
        LEFT = "left", _("left")
        RIGHT = "right", _("right")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    part = TextField()
    product = models.ForeignKey(Product, models.PROTECT, null=True, blank=True)
    hand = models.CharField(max_length=5, choices=Hand, blank=True)
    twin = models.OneToOneField("self", models.SET_NULL, null=True, blank=True, related_name="+")
    colour = TextField(null=True, blank=True)
    group = models.ForeignKey(JobGroup, models.PROTECT, related_name="jobs")
    tool = models.CharField(max_length=20, blank=True)
    press = models.ForeignKey(Press, models.PROTECT, null=True, blank=True, related_name="jobs")
    alternates = models.ManyToManyField(Press, blank=True, related_name="alternate_jobs")
    tended_with = models.ManyToManyField("self", blank=True)
    persons = models.PositiveSmallIntegerField(default=1)
    cavities = models.PositiveSmallIntegerField(default=1)
    cycle_s = models.PositiveIntegerField(null=True, blank=True)
    # Seconds in which a part is usually judged at the press; empty: no pace is shown.
    pace_s = models.PositiveSmallIntegerField(null=True, blank=True)
    pack = models.PositiveIntegerField(null=True, blank=True)
    zones = models.JSONField(default=dict, blank=True)
    critical_job = models.BooleanField(default=False)
    critical_why = TextField(null=True, blank=True)
    needs_colour_vision = models.BooleanField(default=False)
    needs_authorisation = models.JSONField(default=list, blank=True)
    cautions = models.ManyToManyField(Caution, blank=True)
    tell = TextField(null=True, blank=True)
    ended_day = models.DateField(null=True, blank=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.number
