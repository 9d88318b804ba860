"""What surrounds an exam: its conditions, the coaching before another try, corrected counts."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.people.models import ErasableText, Fact, Person
from training.specimens.models import ReferenceDecision


class ExamConditions(Fact):
    """How the screen was found and what the person was granted when an exam was opened."""

    class Glasses(models.TextChoices):
        NOT_NEEDED = "not_needed", _("none needed")
        WORN = "worn", _("worn")
        NOT_WORN = "not_worn", _("prescribed, not worn")

    sitting = models.OneToOneField("quizzes.Sitting", models.PROTECT, related_name="conditions")
    # Grey steps told apart, of how many shown; whether the line of one pixel was seen.
    grey_steps_seen = models.PositiveSmallIntegerField(null=True, blank=True)
    grey_steps_shown = models.PositiveSmallIntegerField(null=True, blank=True)
    line_seen = models.BooleanField(null=True, blank=True)
    # Width of a card of 85.60 mm (ISO/IEC 7810, format ID-1) on this screen, in CSS pixels.
    card_width_px = models.PositiveIntegerField(null=True, blank=True)
    # Device pixels for 100 CSS pixels, so that the scale holds after zooming.
    density_percent = models.PositiveIntegerField(null=True, blank=True)
    glasses = models.CharField(max_length=12, choices=Glasses, default=Glasses.NOT_NEEDED)
    extra_time_percent = models.PositiveSmallIntegerField(default=0)
    read_aloud = models.BooleanField(default=False)
    note = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        app_label = "quizzes"

    def __str__(self) -> str:
        return f"{self.sitting_id}"


class Coaching(Fact):
    """A trainer went through what somebody missed, before another try."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="coachings")
    # The exam that was not passed.
    sitting = models.ForeignKey("quizzes.Sitting", models.PROTECT, related_name="coachings")
    families = models.JSONField(default=list)
    coach = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    day = models.DateField()
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    words = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        app_label = "quizzes"
        indexes = [models.Index(fields=["person", "day"])]

    def __str__(self) -> str:
        return f"{self.day}"


class ScoreCorrection(Fact):
    """An ended exam counted again under a later reference decision; the newest one counts."""

    sitting = models.ForeignKey("quizzes.Sitting", models.PROTECT, related_name="score_corrections")
    because = models.ForeignKey(ReferenceDecision, models.PROTECT, related_name="+")
    # As in the end of the sitting, counted again.
    counts = models.JSONField(default=dict)
    result = models.CharField(max_length=20)
    families_passed = models.JSONField(default=list)
    critical_block_passed = models.BooleanField(null=True, blank=True)
    words = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        app_label = "quizzes"

    def __str__(self) -> str:
        return self.result


class PlanReview(Fact):
    """The yearly look at an exam plan: what the figures were, and what quality decided."""

    class Decision(models.TextChoices):
        KEEP = "keep", _("goes on as it is")
        CHANGE = "change", _("to be changed")
        WITHDRAW = "withdraw", _("to be withdrawn")

    plan = models.ForeignKey("quizzes.ExamPlan", models.PROTECT, related_name="reviews")
    from_day = models.DateField()
    to_day = models.DateField()
    # Counts in whole numbers and decimals in text, as they stood on the page that was signed.
    figures = models.JSONField(default=dict)
    decision = models.CharField(max_length=10, choices=Decision)
    words = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        app_label = "quizzes"

    def __str__(self) -> str:
        return f"{self.from_day} to {self.to_day}"
