"""Lessons: revisions of what an operator learns of a family, and who read them."""

import uuid

from django.conf import settings
from django.db import models

from training.floor.models import Family
from training.people.models import Fact, Person
from training.people.texts import TextField
from training.specimens.models import Specimen


class LessonRevision(models.Model):
    """A published revision of a family's lesson; its texts are in every language it is read in."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    family = models.ForeignKey(Family, models.PROTECT, related_name="lesson_revisions")
    revision = models.CharField(max_length=8)
    day = models.DateField()
    title = TextField()
    one_liner = TextField()
    # Section code -> text: what, looks, where, how, action, confuse, causes.
    sections = models.JSONField(default=dict)
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    # Who accepted each translation, by language; empty until a named reviewer has.
    reviewed = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["family", "day"]
        constraints = [
            models.UniqueConstraint(fields=["family", "revision"], name="one_lesson_per_revision")
        ]

    def __str__(self) -> str:
        return f"{self.family_id} {self.revision}"


class LessonExample(models.Model):
    """A specimen of the teaching pool that illustrates a lesson, with a caption."""

    class Role(models.TextChoices):
        GOOD = "good", "good"
        BAD = "bad", "bad"
        LOOK_ALIKE = "look_alike", "look-alike"
        LADDER = "ladder", "ladder"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    lesson = models.ForeignKey(LessonRevision, models.CASCADE, related_name="examples")
    specimen = models.ForeignKey(Specimen, models.PROTECT, related_name="+")
    role = models.CharField(max_length=12, choices=Role)
    caption = TextField(null=True, blank=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.role} {self.position}"


class Reading(Fact):
    """Somebody read a lesson; carried-over readings name the family and no revision."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="readings")
    family = models.ForeignKey(Family, models.PROTECT, related_name="+")
    lesson = models.ForeignKey(
        LessonRevision, models.PROTECT, null=True, blank=True, related_name="readings"
    )
    day = models.DateField()
    read_at = models.DateTimeField(null=True, blank=True)
    language = models.CharField(max_length=5, blank=True)
    basis = models.CharField(max_length=20, default="tablet")

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["person", "family"])]

    def __str__(self) -> str:
        return f"{self.family_id} {self.day}"
