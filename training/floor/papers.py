"""The papers of a job: its sheet in revisions, limits, alerts, concessions, samples, first pieces."""

import datetime as dt
import uuid
from typing import ClassVar

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.functions import Length

from training.floor.choices import Zone
from training.floor.limits import LimitError, parse_line
from training.people.models import DatedManager
from training.people.texts import TextField


class WorkInstructionQuerySet(models.QuerySet["WorkInstruction"]):
    def in_force(self, day: dt.date) -> "WorkInstructionQuerySet":
        """The newest revision of each job that is not younger than the day."""
        of_job = WorkInstruction.objects.filter(job=models.OuterRef("job"), day__lte=day)
        return self.filter(pk=models.Subquery(of_job.newest_first().values("pk")[:1]))

    def newest_first(self) -> "WorkInstructionQuerySet":
        """By day; two of one day by their letter, AA after Z."""
        return self.order_by("-day", Length("revision").desc(), "-revision")


class WorkInstruction(models.Model):
    """A revision of a job's sheet: its steps, its limits and the families it needs."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey("floor.Job", models.PROTECT, related_name="work_instructions")
    revision = models.CharField(max_length=8)
    day = models.DateField()
    replaces_with_check = models.BooleanField(default=False)
    steps = models.JSONField(default=dict, blank=True)
    needs = models.JSONField(default=dict, blank=True)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Why this revision was made; printed on the sheet.
    reason = models.CharField(max_length=200, blank=True)

    objects = WorkInstructionQuerySet.as_manager()

    class Meta:
        app_label = "floor"
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
        app_label = "floor"
        ordering = ["day"]
        verbose_name_plural = "general limits"

    def __str__(self) -> str:
        return self.revision


class AlertManager(DatedManager["Alert"]):
    """Alerts, each from its first day to its last, unless it was withdrawn before."""

    def on(self, day: dt.date) -> models.QuerySet["Alert"]:
        return super().on(day).filter(_not_withdrawn(day))


class ConcessionManager(DatedManager["Concession"]):
    """Concessions; without its second signature none is in force on any day."""

    def on(self, day: dt.date) -> models.QuerySet["Concession"]:
        on_paper = models.Q(second_signed_by=None) & ~models.Q(second_signature="")
        here = models.Q(second_signed_by__isnull=False, second_signed_day__lte=day)
        return super().on(day).filter(_not_withdrawn(day), on_paper | here)


def _not_withdrawn(day: dt.date) -> models.Q:
    return models.Q(withdrawn_day=None) | models.Q(withdrawn_day__gt=day)


class Alert(models.Model):
    """A quality alert or complaint that tightens a job's limits for a time."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    jobs = models.ManyToManyField("floor.Job", related_name="alerts")
    family = models.ForeignKey("floor.Family", models.PROTECT, related_name="+")
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
    # The first day on which it no longer holds, where it was ended before its last day.
    withdrawn_day = models.DateField(null=True, blank=True)
    withdrawn_reason = models.CharField(max_length=200, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects: ClassVar[AlertManager] = AlertManager()

    class Meta:
        app_label = "floor"
        ordering = ["number"]

    def __str__(self) -> str:
        return self.number

    @property
    def last_day(self) -> dt.date:
        """The last day on which it holds; before its first day where it never held."""
        if self.withdrawn_day is None:
            return self.to_day
        return min(self.to_day, self.withdrawn_day - dt.timedelta(days=1))


class Concession(models.Model):
    """The only paper that may loosen a limit: job, quantity or end day, two signatures.

    The second signature is that of a person of the site from its day on, or, carried over from
    paper, words that say whose it is.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    job = models.ForeignKey("floor.Job", models.PROTECT, related_name="concessions")
    from_day = models.DateField()
    # Empty where it holds for a quantity only.
    to_day = models.DateField(null=True, blank=True)
    max_quantity = models.PositiveIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=200)
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    second_signature = models.CharField(max_length=120, blank=True)
    second_signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    second_signed_day = models.DateField(null=True, blank=True)
    # The first day on which it no longer holds, where it was ended before its last day.
    withdrawn_day = models.DateField(null=True, blank=True)
    withdrawn_reason = models.CharField(max_length=200, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects: ClassVar[ConcessionManager] = ConcessionManager()

    class Meta:
        app_label = "floor"
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(to_day=None, max_quantity=None),
                name="a_concession_ends",
            ),
            models.CheckConstraint(
                condition=models.Q(second_signed_by=None)
                | ~models.Q(second_signed_by=models.F("signed_by")),
                name="a_concession_has_two_signers",
            ),
            models.CheckConstraint(
                condition=models.Q(second_signed_by=None)
                | models.Q(second_signed_day__isnull=False),
                name="a_second_signature_has_its_day",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def signed_twice(self) -> bool:
        return self.second_signed_by_id is not None or bool(self.second_signature)

    @property
    def second_signer(self) -> str:
        """Whose the second signature is; nothing while it is wanting."""
        return self.second_signed_by.name if self.second_signed_by else self.second_signature


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
    family = models.ForeignKey("floor.Family", models.PROTECT, related_name="limit_lines")
    zone = models.CharField(max_length=1, choices=Zone)
    position = models.PositiveSmallIntegerField(default=0)
    measure = models.JSONField()
    # Of a concession's line: the line whose place it takes, with its family and zone.
    instead_of = models.JSONField(null=True, blank=True)

    class Meta:
        app_label = "floor"
        ordering = ["position", "id"]
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
        app_label = "floor"
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class LimitSample(models.Model):
    """A signed real part that shows the worst that passes; past its day it stops counting."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=20, unique=True)
    job_group = models.ForeignKey("floor.JobGroup", models.PROTECT, related_name="limit_samples")
    family = models.ForeignKey("floor.Family", models.PROTECT, related_name="+")
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
        app_label = "floor"
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class FirstPiece(models.Model):
    """The part that quality approved for a run, its tag, and the inspector's marks on it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey("floor.Job", models.PROTECT, related_name="first_pieces")
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
        app_label = "floor"
        ordering = ["job", "approved_at"]

    def __str__(self) -> str:
        return f"{self.job_id} {self.revision}"
