"""The floor: presses, jobs, defect families, and what a job still accepts."""

import uuid
from typing import ClassVar, Self

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.records import Acknowledgement, Turn, TurnEnd
from training.people.models import DatedManager
from training.people.texts import TextField

__all__ = [
    "Acknowledgement",
    "Alert",
    "Caution",
    "Concession",
    "Family",
    "FamilyGroup",
    "FirstPiece",
    "Gauge",
    "GeneralLimits",
    "Job",
    "JobGroup",
    "Level",
    "LimitLine",
    "LimitSample",
    "Press",
    "Product",
    "Turn",
    "TurnEnd",
    "WorkInstruction",
    "Zone",
]


class Level(models.TextChoices):
    ORDINARY = "ordinary", _("ordinary")
    CRITICAL = "critical", _("critical")


class Zone(models.TextChoices):
    A = "A", _("A, seen in use")
    B = "B", _("B, seen sometimes")
    C = "C", _("C, hidden")
    F = "F", _("F, functional")
    WHOLE = "*", _("whole part")


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
    pack = models.PositiveIntegerField(null=True, blank=True)
    zones = models.JSONField(default=dict, blank=True)
    critical_job = models.BooleanField(default=False)
    critical_why = TextField(null=True, blank=True)
    needs_colour_vision = models.BooleanField(default=False)
    needs_authorisation = models.JSONField(default=list, blank=True)
    cautions = models.ManyToManyField(Caution, blank=True)
    tell = TextField(null=True, blank=True)
    ended_day = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.number


class WorkInstruction(models.Model):
    """A revision of a job's sheet: its steps, its limits and the families it needs."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey(Job, models.PROTECT, related_name="work_instructions")
    revision = models.CharField(max_length=8)
    day = models.DateField()
    replaces_with_check = models.BooleanField(default=False)
    steps = models.JSONField(default=dict, blank=True)
    needs = models.JSONField(default=dict, blank=True)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["job", "day"]
        constraints = [
            models.UniqueConstraint(fields=["job", "revision"], name="one_sheet_per_revision")
        ]

    def __str__(self) -> str:
        return f"{self.job_id} {self.revision}"


class GeneralLimits(models.Model):
    """A revision of the site's general limits, used where the job's sheet gives none."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    revision = models.CharField(max_length=8, unique=True)
    day = models.DateField()

    class Meta:
        ordering = ["day"]
        verbose_name_plural = "general limits"

    def __str__(self) -> str:
        return self.revision


class Alert(models.Model):
    """A quality alert or complaint that tightens a job's limits for a time."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    jobs = models.ManyToManyField(Job, related_name="alerts")
    family = models.ForeignKey(Family, models.PROTECT, related_name="+")
    zone = models.CharField(max_length=1, choices=Zone, blank=True)
    written_day = models.DateField()
    from_day = models.DateField()
    to_day = models.DateField()
    text = TextField()
    checks = models.JSONField(default=list, blank=True)
    tend_alone = models.BooleanField(default=False)
    reason = models.CharField(max_length=200, blank=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects: ClassVar[DatedManager[Self]] = DatedManager()

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.number


class Concession(models.Model):
    """The only paper that may loosen a limit: job, quantity or end day, two signatures."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    job = models.ForeignKey(Job, models.PROTECT, related_name="concessions")
    from_day = models.DateField()
    to_day = models.DateField()
    max_quantity = models.PositiveIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=200)
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    second_signature = models.CharField(max_length=120)

    objects: ClassVar[DatedManager[Self]] = DatedManager()

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.number


class LimitLine(models.Model):
    """One structured line of a limit; it belongs to a sheet, the general limits, an alert or a
    concession. Several lines may stand for one family and zone, and all must hold."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    work_instruction = models.ForeignKey(
        WorkInstruction, models.CASCADE, null=True, blank=True, related_name="lines"
    )
    general = models.ForeignKey(
        GeneralLimits, models.CASCADE, null=True, blank=True, related_name="lines"
    )
    alert = models.ForeignKey(Alert, models.CASCADE, null=True, blank=True, related_name="lines")
    concession = models.ForeignKey(
        Concession, models.CASCADE, null=True, blank=True, related_name="lines"
    )
    family = models.ForeignKey(Family, models.PROTECT, related_name="limit_lines")
    zone = models.CharField(max_length=1, choices=Zone)
    position = models.PositiveSmallIntegerField(default=0)
    measure = models.JSONField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.CheckConstraint(
                condition=(
                    models.Q(
                        work_instruction__isnull=False, general=None, alert=None, concession=None
                    )
                    | models.Q(
                        work_instruction=None, general__isnull=False, alert=None, concession=None
                    )
                    | models.Q(
                        work_instruction=None, general=None, alert__isnull=False, concession=None
                    )
                    | models.Q(
                        work_instruction=None, general=None, alert=None, concession__isnull=False
                    )
                ),
                name="a_limit_line_has_one_source",
            )
        ]

    def __str__(self) -> str:
        return f"{self.family_id} {self.zone}"

    def clean(self) -> None:
        from training.floor.limits import LimitError, parse_line

        try:
            parse_line({**self.measure, "zone": self.zone})
        except LimitError as error:
            raise ValidationError({"measure": str(error)}) from error


class Gauge(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=20, unique=True)
    name = TextField()
    calibration_due_day = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class LimitSample(models.Model):
    """A signed real part that shows the worst that passes; past its day it stops counting."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=20, unique=True)
    job_group = models.ForeignKey(JobGroup, models.PROTECT, related_name="limit_samples")
    family = models.ForeignKey(Family, models.PROTECT, related_name="+")
    zone = models.CharField(max_length=1, choices=Zone)
    text = TextField()
    kind = models.CharField(max_length=40)
    copies = models.PositiveSmallIntegerField(default=2)
    place = models.CharField(max_length=120)
    signed_day = models.DateField()
    expires_day = models.DateField()
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    second_signature = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class FirstPiece(models.Model):
    """The part that quality approved for a run, its tag, and the inspector's marks on it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey(Job, models.PROTECT, related_name="first_pieces")
    revision = models.CharField(max_length=8)
    work_instruction = models.ForeignKey(
        WorkInstruction, models.PROTECT, null=True, blank=True, related_name="+"
    )
    approved_at = models.DateTimeField()
    approved_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    checked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    tag = models.JSONField(default=dict, blank=True)
    marks = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["job", "approved_at"]

    def __str__(self) -> str:
        return f"{self.job_id} {self.revision}"
