"""The people of the plant: who they are, what they may do, and the devices they sign in on."""

import datetime as dt
import uuid
from typing import ClassVar, Self, TypeVar

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from training.people.record.models import (
    AppendOnly,
    ChainHead,
    DayHead,
    ErasableText,
    Fact,
)
from training.people.texts import TextField

__all__ = [
    "AppendOnly",
    "Authorisation",
    "Badge",
    "ChainHead",
    "Crew",
    "DayHead",
    "Device",
    "Employment",
    "ErasableText",
    "Fact",
    "Person",
    "Role",
    "Signature",
    "VisionCheck",
]


class Role(models.TextChoices):
    """What somebody is at the site to do; the rights of a role stand in the route table."""

    OPERATOR = "operator", _("operator")
    TRAINER = "trainer", _("trainer")
    SUPERVISOR = "supervisor", _("supervisor")
    QUALITY = "quality", _("quality")
    AUDITOR = "auditor", _("auditor")
    ADMINISTRATOR = "administrator", _("administrator")


M = TypeVar("M", bound=models.Model)


class DatedManager(models.Manager[M]):
    """Rows that hold from one day to another, both included; no last day means still."""

    def on(self, day: dt.date) -> models.QuerySet[M]:
        return self.filter(Q(to_day=None) | Q(to_day__gte=day), from_day__lte=day)


class Crew(models.Model):
    """The people of one shift pattern, and the hours of their shift."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=8, unique=True)
    name = TextField()
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        ordering = ["starts"]

    def __str__(self) -> str:
        return self.code


class PersonManager(BaseUserManager["Person"]):
    def get_by_natural_key(self, username: str | None) -> "Person":
        return self.get(personnel_no=username)


class Person(AbstractBaseUser, PermissionsMixin):
    """Everybody who signs in. The personnel number is permanent and never used again."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    personnel_no = models.CharField(_("personnel number"), max_length=20, unique=True)
    name = models.CharField(_("name"), max_length=120)
    crew = models.ForeignKey(Crew, models.PROTECT, null=True, blank=True, related_name="people")
    ui_language = models.CharField(_("screen language"), max_length=5, default="en")
    languages = models.JSONField(_("languages read"), default=list, blank=True)
    agency = models.BooleanField(_("agency"), default=False)
    note = models.CharField(max_length=200, blank=True)
    pin = models.CharField(max_length=128, blank=True)
    pin_is_initial = models.BooleanField(default=True)
    password_is_initial = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)
    # Rights come from roles alone: there is nobody above them.
    is_superuser = None

    objects = PersonManager()

    USERNAME_FIELD = "personnel_no"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name.split()[0]

    def roles(self) -> frozenset[str]:
        """Return the codes of the person's roles. Costs one query, unless groups are prefetched."""
        return frozenset(group.name for group in self.groups.all())


class Employment(models.Model):
    """One stay at the plant; somebody who returns has two."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, models.CASCADE, related_name="employments")
    from_day = models.DateField()
    to_day = models.DateField(null=True, blank=True)
    contract = models.CharField(max_length=20, default="permanent")

    objects: ClassVar[DatedManager[Self]] = DatedManager()

    class Meta:
        ordering = ["from_day"]

    def __str__(self) -> str:
        return f"{self.person_id} {self.from_day}"


class Badge(models.Model):
    """A badge number and the days on which it was this person's; numbers may come back."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, db_index=True)
    person = models.ForeignKey(Person, models.CASCADE, related_name="badges")
    from_day = models.DateField()
    to_day = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    objects: ClassVar[DatedManager[Self]] = DatedManager()

    class Meta:
        ordering = ["from_day"]

    def __str__(self) -> str:
        return self.number


class Device(models.Model):
    """A tablet or bench computer that quality or administration has enrolled for the floor."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField(_("name"), max_length=60)
    place = models.CharField(_("place"), max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
    enrolled_at = models.DateTimeField()
    enrolled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.name}, {self.place}"


class VisionCheck(Fact):
    """An eye check: the fact that it was done and when the next is due; the result is erasable."""

    class Kind(models.TextChoices):
        NEAR = "near", _("near vision")
        COLOUR = "colour", _("colour vision")

    class Result(models.TextChoices):
        MEETS = "meets", _("meets")
        MEETS_WITH_GLASSES = "meets_with_glasses", _("meets with glasses")
        DOES_NOT_JUDGE_COLOUR = "does_not_judge_colour", _("does not judge colour")
        DOES_NOT_MEET = "does_not_meet", _("does not meet")

    person = models.ForeignKey(Person, models.PROTECT, related_name="vision_checks")
    kind = models.CharField(max_length=10, choices=Kind)
    day = models.DateField()
    due_day = models.DateField(null=True, blank=True)
    result = models.ForeignKey(ErasableText, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.kind} {self.day}"


class Authorisation(Fact):
    """Something the site's own authorised people have allowed this person to do."""

    class Kind(models.TextChoices):
        SITE_SAFETY = "site_safety", _("site safety course")
        CUTTER = "cutter", _("gate cutter")
        INSERT = "insert", _("loading inserts")
        LIFT = "lift", _("lifting boxes")

    person = models.ForeignKey(Person, models.PROTECT, related_name="authorisations")
    kind = models.CharField(max_length=20, choices=Kind)
    day = models.DateField()
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    paper_ref = models.CharField(max_length=60, blank=True)

    def __str__(self) -> str:
        return f"{self.kind} {self.day}"


class Signature(Fact):
    """A person's name, the moment and the meaning, given by asking the secret again."""

    class Method(models.TextChoices):
        PIN = "pin", _("badge and PIN")
        PASSWORD = "password", _("password")

    person = models.ForeignKey(Person, models.PROTECT, related_name="signatures")
    meaning = models.CharField(max_length=60)
    subject_kind = models.CharField(max_length=60)
    subject_id = models.UUIDField()
    method = models.CharField(max_length=10, choices=Method)
    device = models.ForeignKey(Device, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.meaning} {self.recorded_at:%Y-%m-%d %H:%M}"
