"""Quizzes: exam plans, sittings, what was presented, and how it was judged."""

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, WorkInstruction
from training.people.models import Device, Fact, Person
from training.people.texts import TextField
from training.quizzes.exam_records import Coaching, ExamConditions, PlanReview, ScoreCorrection
from training.quizzes.studies import (
    AgreementStudy,
    StudyAnswer,
    StudyJudge,
    StudyPart,
    StudyRound,
)
from training.specimens.models import ReferenceDecision, Specimen, View

__all__ = [
    "Action",
    "AgreementStudy",
    "Coaching",
    "ExamConditions",
    "ExamPlan",
    "Judgement",
    "Kind",
    "PlanReview",
    "Presented",
    "ScoreCorrection",
    "Sitting",
    "SittingEnd",
    "StudyAnswer",
    "StudyJudge",
    "StudyPart",
    "StudyRound",
]


class Action(models.TextChoices):
    """What an operator does about a part."""

    KEEP_RUNNING = "keep_running", _("keep running")
    TRIM = "trim", _("trim or rework")
    SEGREGATE = "segregate", _("segregate and tag")
    STOP = "stop", _("stop and call")


class Kind(models.TextChoices):
    PRACTICE = "practice", _("practice")
    QUALIFICATION = "qualification", _("qualification")
    REQUALIFICATION = "requalification", _("requalification")
    REFRESHER = "refresher", _("refresher")
    LOW_RATE = "low_rate", _("low-rate round")
    STUDY = "study", _("agreement study")


class ExamPlan(models.Model):
    """A published revision of the rule that ends a sitting, and the risks it carries."""

    class Form(models.TextChoices):
        GROUP = "group", _("group plan")
        SHORT_BANK = "short_bank", _("short-bank plan")
        FIXED = "fixed", _("fixed plan for each family")
        OWN = "own", _("own plan for each family, as long as needed")
        PRACTICE = "practice", _("practice round")
        STUDY = "study", _("round of an agreement study")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.SlugField()
    revision = models.PositiveSmallIntegerField()
    name = TextField()
    form = models.CharField(max_length=20, choices=Form)
    # Parameters of the pure plan: numbers of specimens, acceptance numbers, tolerances.
    parameters = models.JSONField(default=dict)
    reason = models.CharField(max_length=200)
    day = models.DateField()
    # A draft waits for a second signature; only a draft may be thrown away, nothing may be changed.
    is_draft = models.BooleanField(default=False)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["code", "-revision"]
        constraints = [
            models.UniqueConstraint(fields=["code", "revision"], name="one_plan_per_revision")
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.revision}"


class Sitting(Fact):
    """One person taking one quiz: opened once, for a named person, under one plan revision."""

    number = models.CharField(max_length=20, unique=True)
    person = models.ForeignKey(Person, models.PROTECT, related_name="sittings")
    kind = models.CharField(max_length=20, choices=Kind)
    plan = models.ForeignKey(ExamPlan, models.PROTECT, related_name="sittings")
    # The pure plan worked out for these families and this bank, in whole numbers.
    worked_plan = models.JSONField(default=dict)
    groups = models.JSONField(default=list)
    families = models.JSONField(default=list)
    critical_families = models.JSONField(default=list, blank=True)
    opened_at = models.DateTimeField()
    invigilator = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    device = models.ForeignKey(Device, models.PROTECT, null=True, blank=True, related_name="+")
    language = models.CharField(max_length=5, default="en")
    seed = models.CharField(max_length=40)

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["person", "opened_at"])]

    def __str__(self) -> str:
        return self.number

    @property
    def own_chain(self) -> str:
        """Name of the chain that holds what was presented and judged in this sitting."""
        return f"sitting:{self.pk}"


class Presented(Fact):
    """A specimen drawn for a sitting, in its place in the order; links of the sitting's chain."""

    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="presented")
    ordinal = models.PositiveSmallIntegerField()
    specimen = models.ForeignKey(Specimen, models.PROTECT, related_name="presented")
    decision = models.ForeignKey(ReferenceDecision, models.PROTECT, related_name="+")
    work_instruction = models.ForeignKey(
        WorkInstruction, models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Block of the plan the specimen was drawn for: bad, good or critical.
    part = models.CharField(max_length=10)

    class Meta(Fact.Meta):
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(fields=["sitting", "ordinal"], name="one_specimen_per_ordinal"),
        ]

    def __str__(self) -> str:
        return f"{self.ordinal}"


class Judgement(Fact):
    """One answer. Its identifier is made on the device, so that it may be sent twice."""

    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="judgements")
    presented = models.OneToOneField(Presented, models.PROTECT, related_name="judgement")
    answer = models.CharField(max_length=10, choices=ReferenceDecision.Decision)
    # The tapped place: the view that was tapped, and pixels of its pictures.
    view = models.ForeignKey(View, models.PROTECT, null=True, blank=True, related_name="+")
    place_x = models.PositiveIntegerField(null=True, blank=True)
    place_y = models.PositiveIntegerField(null=True, blank=True)
    family = models.ForeignKey(Family, models.PROTECT, null=True, blank=True, related_name="+")
    action = models.CharField(max_length=20, choices=Action, blank=True)
    judging_ms = models.PositiveIntegerField()
    answered_at = models.DateTimeField()
    # An answer that reached the plant after the sitting was decided is kept and not scored.
    scored = models.BooleanField(default=True)

    def __str__(self) -> str:
        return f"{self.answer}"


class SittingEnd(Fact):
    """How a sitting ended: its counts and result, tied to the head of its own chain."""

    class Reason(models.TextChoices):
        COMPLETE = "complete", _("all judged")
        LOST = "lost", _("can no longer be passed")
        DECIDED = "decided", _("both sides decided")
        ABANDONED = "abandoned", _("abandoned")

    class Result(models.TextChoices):
        PASSED = "passed", _("passed")
        NOT_PASSED = "not_passed", _("not passed")
        UNDECIDED = "undecided", _("undecided")

    sitting = models.OneToOneField(Sitting, models.PROTECT, related_name="end")
    ended_at = models.DateTimeField()
    reason = models.CharField(max_length=20, choices=Reason)
    result = models.CharField(max_length=20, choices=Result)
    # Whole-number counts by family and part, and the families passed; see quizzes.scoring.
    counts = models.JSONField(default=dict)
    families_passed = models.JSONField(default=list)
    critical_block_passed = models.BooleanField(null=True, blank=True)
    links = models.PositiveIntegerField()
    head = models.CharField(max_length=64)

    def __str__(self) -> str:
        return self.result
