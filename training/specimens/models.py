"""Specimens: parts in pictures, what is wrong with them, and the decisions they rest on."""

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, FirstPiece, GeneralLimits, Job, WorkInstruction, Zone
from training.people.models import Fact
from training.people.texts import TextField


class Pool(models.TextChoices):
    EXAM = "exam", _("exam")
    TEACHING = "teaching", _("teaching")
    NEITHER = "neither", _("neither")


class Specimen(models.Model):
    """One part, pictured. Its number is permanent; its severity is measured, in the family's unit."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    job = models.ForeignKey(Job, models.PROTECT, related_name="specimens")
    zone = models.CharField(max_length=1, choices=Zone)
    # The family the part was chosen for; a good part of a family may be clean or near its limit.
    family = models.ForeignKey(Family, models.PROTECT, related_name="specimens")
    severity = models.DecimalField(max_digits=9, decimal_places=4, null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    pool = models.CharField(max_length=10, choices=Pool, default=Pool.NEITHER)
    synthetic = models.BooleanField(default=False)
    # How a synthetic picture was drawn, so that it can be drawn again; never shown.
    recipe = models.JSONField(default=dict, blank=True)
    note = TextField(null=True, blank=True)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    retired_day = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["pool", "family"])]

    def __str__(self) -> str:
        return self.number


class View(models.Model):
    """One view of a specimen or of an approved first piece; its frames are its pictures."""

    class Kind(models.TextChoices):
        WHOLE = "whole", _("whole part")
        CLOSE_UP = "close_up", _("close-up")

    class Change(models.TextChoices):
        NONE = "none", _("one picture")
        TILT = "tilt", _("tilt")
        LIGHT = "light", _("light")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    specimen = models.ForeignKey(
        Specimen, models.CASCADE, null=True, blank=True, related_name="views"
    )
    first_piece = models.ForeignKey(
        FirstPiece, models.CASCADE, null=True, blank=True, related_name="views"
    )
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.WHOLE)
    change = models.CharField(max_length=10, choices=Change, default=Change.NONE)
    px_per_mm = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(specimen__isnull=False, first_piece=None)
                | models.Q(specimen=None, first_piece__isnull=False),
                name="a_view_shows_one_part",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.position}"


class Frame(models.Model):
    """One picture of a view, re-encoded, without metadata, under a random name."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    view = models.ForeignKey(View, models.CASCADE, related_name="frames")
    position = models.PositiveSmallIntegerField(default=0)
    angle_deg = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    file = models.CharField(max_length=80, unique=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["view", "position"], name="one_frame_per_position")
        ]

    def __str__(self) -> str:
        return self.file


class Region(models.Model):
    """The outline of a defect on a view, in picture pixels: a list of polygons of [x, y]."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    view = models.ForeignKey(View, models.CASCADE, related_name="regions")
    family = models.ForeignKey(Family, models.PROTECT, related_name="+")
    polygons = models.JSONField()

    def __str__(self) -> str:
        return f"{self.family_id}"


class ReferenceDecision(Fact):
    """What a specimen is, judged by one revision of the limits; the newest for a revision counts."""

    class Decision(models.TextChoices):
        ACCEPT = "accept", _("accept")
        REJECT = "reject", _("reject")

    class Basis(models.TextChoices):
        MEASURED = "measured", _("measured against the limit")
        PANEL = "panel", _("settled by the panel")
        QUALITY = "quality", _("decided by quality")

    specimen = models.ForeignKey(Specimen, models.PROTECT, related_name="decisions")
    work_instruction = models.ForeignKey(
        WorkInstruction, models.PROTECT, null=True, blank=True, related_name="+"
    )
    general = models.ForeignKey(
        GeneralLimits, models.PROTECT, null=True, blank=True, related_name="+"
    )
    decision = models.CharField(max_length=10, choices=Decision)
    family = models.ForeignKey(Family, models.PROTECT, null=True, blank=True, related_name="+")
    action = models.CharField(max_length=20)
    basis = models.CharField(max_length=10, choices=Basis)
    # Severity divided by the deciding limit; empty where the limit is "none" or cannot be measured.
    severity_ratio = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    # Present or absent, or at least one and a half times the limit: nobody attentive misses it.
    clear = models.BooleanField(default=False)

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["specimen", "recorded_at"])]

    def __str__(self) -> str:
        return f"{self.decision}"
