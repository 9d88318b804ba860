"""The floor's facts: what was read, and who stood at which press from when to when."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.people.models import Crew, ErasableText, Fact, Person


class Acknowledgement(Fact):
    """Somebody read a work instruction, an alert or a caution."""

    class Kind(models.TextChoices):
        WORK_INSTRUCTION = "wi", _("work instruction")
        ALERT = "alert", _("alert")
        CAUTION = "caution", _("caution")

    person = models.ForeignKey(Person, models.PROTECT, related_name="acknowledgements")
    kind = models.CharField(max_length=10, choices=Kind)
    work_instruction = models.ForeignKey(
        "floor.WorkInstruction", models.PROTECT, null=True, blank=True, related_name="readings"
    )
    alert = models.ForeignKey(
        "floor.Alert", models.PROTECT, null=True, blank=True, related_name="readings"
    )
    caution = models.ForeignKey(
        "floor.Caution", models.PROTECT, null=True, blank=True, related_name="readings"
    )
    day = models.DateField()
    # Empty when carried over from paper: the reading then counts from the start of its day.
    read_at = models.DateTimeField(null=True, blank=True)
    # Result of the five-specimen check that a replacing revision asks for, as right of shown.
    check_right = models.PositiveSmallIntegerField(null=True, blank=True)
    check_shown = models.PositiveSmallIntegerField(null=True, blank=True)
    basis = models.CharField(max_length=20, default="tablet")

    class Meta(Fact.Meta):
        app_label = "floor"
        indexes = [models.Index(fields=["person", "kind"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.day}"


class ConcessionCount(Fact):
    """How many parts have been made under a concession so far; a later count takes its place."""

    concession = models.ForeignKey("floor.Concession", models.PROTECT, related_name="counts")
    day = models.DateField()
    parts = models.PositiveIntegerField()

    class Meta(Fact.Meta):
        app_label = "floor"
        indexes = [models.Index(fields=["concession", "day"])]

    def __str__(self) -> str:
        return f"{self.concession_id} {self.parts}"


class PaceChange(Fact):
    """Quality set how long a part of a job is usually looked at, or took the pace away."""

    job = models.ForeignKey("floor.Job", models.PROTECT, related_name="pace_changes")
    # Seconds a part; none shows no pace.
    before_s = models.PositiveSmallIntegerField(null=True, blank=True)
    after_s = models.PositiveSmallIntegerField(null=True, blank=True)
    reason = models.ForeignKey(ErasableText, models.PROTECT, related_name="+")

    class Meta(Fact.Meta):
        app_label = "floor"

    def __str__(self) -> str:
        return f"{self.before_s} to {self.after_s}"


class Turn(Fact):
    """The start of one person's turn at one press, reliefs included."""

    class Kind(models.TextChoices):
        TURN = "turn", _("turn")
        RELIEF = "relief", _("relief")
        UNDER_SUPERVISION = "under_supervision", _("under supervision")
        LEARNING = "learning", _("learning, second person")

    press = models.ForeignKey("floor.Press", models.PROTECT, related_name="turns")
    job = models.ForeignKey("floor.Job", models.PROTECT, related_name="turns")
    person = models.ForeignKey(Person, models.PROTECT, related_name="turns")
    kind = models.CharField(max_length=20, choices=Kind, default=Kind.TURN)
    buddy = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="turns_as_buddy"
    )
    # The day the shift began, of which the rule is asked; the moment is when the turn began.
    day = models.DateField()
    crew = models.ForeignKey(Crew, models.PROTECT, null=True, blank=True, related_name="+")
    started_at = models.DateTimeField()
    first_piece_seen = models.BooleanField(default=False)
    work_instruction = models.ForeignKey(
        "floor.WorkInstruction", models.PROTECT, null=True, blank=True, related_name="+"
    )
    alerts = models.JSONField(default=list, blank=True)
    exception_no = models.CharField(max_length=20, blank=True)
    note = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        app_label = "floor"
        indexes = [
            models.Index(fields=["press", "started_at"]),
            models.Index(fields=["person", "day"]),
        ]

    def __str__(self) -> str:
        return f"{self.press_id} {self.started_at:%Y-%m-%d %H:%M}"


class TurnEnd(Fact):
    """The end of a turn."""

    turn = models.OneToOneField(Turn, models.PROTECT, related_name="end")
    ended_at = models.DateTimeField()

    class Meta(Fact.Meta):
        app_label = "floor"

    def __str__(self) -> str:
        return f"{self.ended_at:%Y-%m-%d %H:%M}"
