"""Staffing: production orders, attendance, tonight's plan, exceptions and the press check's log."""

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.models import Job, Press
from training.people.models import AppendOnly, Crew, Device, ErasableText, Fact, Person


class ProductionOrder(models.Model):
    """Which job runs on which press from when to when."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    press = models.ForeignKey(Press, models.PROTECT, related_name="orders")
    job = models.ForeignKey(Job, models.PROTECT, related_name="orders")
    persons = models.PositiveSmallIntegerField(default=1)
    urgency = models.PositiveSmallIntegerField(default=2)
    due_quantity = models.PositiveIntegerField(null=True, blank=True)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["starts_at"]

    def __str__(self) -> str:
        return self.number


class PressStop(models.Model):
    """A time in which a press stood, and why."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    press = models.ForeignKey(Press, models.PROTECT, related_name="stops")
    day = models.DateField()
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="+")
    from_at = models.DateTimeField()
    to_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["from_at"]

    def __str__(self) -> str:
        return f"{self.press_id} {self.day}"


class Attendance(models.Model):
    """Who was planned for a shift and who came."""

    class Presence(models.TextChoices):
        IN = "in", _("in")
        OFF = "off", _("off")
        LEAVE = "leave", _("leave")
        LATE = "late", _("late")
        ABSENT = "absent", _("absent")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, models.CASCADE, related_name="attendance")
    day = models.DateField()
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="+")
    planned = models.CharField(max_length=8, choices=Presence)
    actual = models.CharField(max_length=8, choices=Presence, blank=True)
    reason = models.CharField(max_length=60, blank=True)
    arrived = models.TimeField(null=True, blank=True)
    left = models.TimeField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["day"]
        verbose_name_plural = "attendance"
        constraints = [
            models.UniqueConstraint(fields=["person", "day"], name="one_attendance_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.day}"


class Assignment(Fact):
    """Somebody was put on a press for a shift; the newest for press and shift counts."""

    day = models.DateField()
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="+")
    press = models.ForeignKey(Press, models.PROTECT, related_name="assignments")
    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    person = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="assignments"
    )
    place = models.PositiveSmallIntegerField(default=1)
    buddy = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["day", "crew"])]

    def __str__(self) -> str:
        return f"{self.press_id} {self.day}"


class ShiftException(Fact):
    """A signed, reasoned, dated permission to deviate, or its refusal; it ends with the shift."""

    class Outcome(models.TextChoices):
        GRANTED = "granted", _("granted")
        REFUSED = "refused", _("refused")

    number = models.CharField(max_length=20, unique=True)
    person = models.ForeignKey(Person, models.PROTECT, related_name="exceptions")
    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    press = models.ForeignKey(Press, models.PROTECT, related_name="+")
    day = models.DateField()
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="+")
    outcome = models.CharField(max_length=10, choices=Outcome)
    reason = models.ForeignKey(ErasableText, models.PROTECT, related_name="+")
    extra_check = models.ForeignKey(
        ErasableText, models.PROTECT, null=True, blank=True, related_name="+"
    )
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    second_signer = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    signed_at = models.DateTimeField()
    ends_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.number


class PressCheck(AppendOnly):
    """The log of "may badge N run job J now?": append-only, not chained."""

    class Verdict(models.TextChoices):
        ALONE = "alone", _("alone")
        BUDDY = "buddy", _("only with a named buddy")
        NO = "no", _("no")
        UNKNOWN_BADGE = "unknown_badge", _("unknown badge")

    badge = models.CharField(max_length=20)
    person = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    press = models.ForeignKey(Press, models.PROTECT, null=True, blank=True, related_name="+")
    asked_at = models.DateTimeField()
    verdict = models.CharField(max_length=14, choices=Verdict)
    reason_codes = models.JSONField(default=list)
    device = models.ForeignKey(Device, models.PROTECT, null=True, blank=True, related_name="+")
    asked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        indexes = [models.Index(fields=["asked_at"])]

    def __str__(self) -> str:
        return f"{self.badge} {self.verdict}"
