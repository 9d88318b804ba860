"""Agreement studies: who judged which parts how often, on the site or in a file from elsewhere."""

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.people.models import Fact, Person
from training.specimens.models import ReferenceDecision, Specimen


class AgreementStudy(models.Model):
    """So many people judge so many parts so many times, each time in another order."""

    class Basis(models.TextChoices):
        PICTURES = "pictures", _("pictures")
        PHYSICAL = "physical", _("numbered real parts")
        FILE = "file", _("answers from a file")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    name = models.CharField(_("name"), max_length=120)
    basis = models.CharField(max_length=10, choices=Basis)
    repeats = models.PositiveSmallIntegerField(_("times each part is judged"))
    # Least hours between two rounds of one person.
    gap_hours = models.PositiveSmallIntegerField(_("hours between rounds"), default=24)
    # What is asked, and where a file came from.
    note = models.CharField(max_length=400, blank=True)
    seed = models.CharField(max_length=40)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        app_label = "quizzes"
        ordering = ["-opened_at"]

    def __str__(self) -> str:
        return self.number


class StudyPart(models.Model):
    """One part of a study, with the decision it is compared with, where there is one."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    study = models.ForeignKey(AgreementStudy, models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    label = models.CharField(max_length=40)
    specimen = models.ForeignKey(Specimen, models.PROTECT, null=True, blank=True, related_name="+")
    decision = models.ForeignKey(
        ReferenceDecision, models.PROTECT, null=True, blank=True, related_name="+"
    )
    reference = models.CharField(
        max_length=10, choices=ReferenceDecision.Decision, blank=True, default=""
    )

    class Meta:
        app_label = "quizzes"
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["study", "position"], name="one_study_part_per_place"),
            models.UniqueConstraint(fields=["study", "label"], name="one_study_part_per_label"),
        ]

    def __str__(self) -> str:
        return self.label


class StudyJudge(models.Model):
    """One of the people who judge in a study; from a file only their label is known."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    study = models.ForeignKey(AgreementStudy, models.CASCADE, related_name="judges")
    position = models.PositiveSmallIntegerField()
    label = models.CharField(max_length=40)
    person = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="study_places"
    )

    class Meta:
        app_label = "quizzes"
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["study", "label"], name="one_study_judge_per_label")
        ]

    def __str__(self) -> str:
        return self.label


class StudyRound(models.Model):
    """The sitting in which one of the people judged all parts for the first, second … time."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    judge = models.ForeignKey(StudyJudge, models.CASCADE, related_name="rounds")
    number = models.PositiveSmallIntegerField()
    sitting = models.OneToOneField("quizzes.Sitting", models.PROTECT, related_name="study_round")

    class Meta:
        app_label = "quizzes"
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["judge", "number"], name="one_study_round_per_number")
        ]

    def __str__(self) -> str:
        return f"{self.number}"


class StudyAnswer(Fact):
    """One answer of a study that came from a file."""

    part = models.ForeignKey(StudyPart, models.PROTECT, related_name="answers")
    judge = models.ForeignKey(StudyJudge, models.PROTECT, related_name="answers")
    number = models.PositiveSmallIntegerField()
    answer = models.CharField(max_length=10, choices=ReferenceDecision.Decision)

    class Meta(Fact.Meta):
        app_label = "quizzes"
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=["part", "judge", "number"], name="one_study_answer_per_round"
            ),
        ]

    def __str__(self) -> str:
        return self.answer
