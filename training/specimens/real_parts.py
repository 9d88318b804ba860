"""Numbered real parts: their copies, where they are kept, how often they were handled."""

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.models import LimitSample
from training.people.models import ErasableText, Fact


class Condition(models.TextChoices):
    """How a real part was found."""

    SOUND = "sound", _("sound")
    WORN = "worn", _("worn")
    DAMAGED = "damaged", _("damaged")
    LOST = "lost", _("lost")


class PartCopy(models.Model):
    """One copy of a numbered real part: of a physical specimen or of a limit sample."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    specimen = models.ForeignKey(
        "specimens.Specimen", models.PROTECT, null=True, blank=True, related_name="copies"
    )
    limit_sample = models.ForeignKey(
        LimitSample, models.PROTECT, null=True, blank=True, related_name="part_copies"
    )
    # "A" is used, "B" is kept apart to compare it with.
    letter = models.CharField(_("copy"), max_length=2, default="A")
    place = models.CharField(_("place"), max_length=120)
    registered_day = models.DateField()
    expires_day = models.DateField(_("valid to"), null=True, blank=True)
    # After so many handlings the part is looked at again before it is used.
    most_handlings = models.PositiveIntegerField(_("handlings allowed"), null=True, blank=True)
    withdrawn_day = models.DateField(null=True, blank=True)

    class Meta:
        app_label = "specimens"
        ordering = ["letter"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(specimen__isnull=False, limit_sample=None)
                | models.Q(specimen=None, limit_sample__isnull=False),
                name="a_copy_is_of_one_part",
            ),
            models.UniqueConstraint(
                fields=["specimen", "letter"], name="one_copy_per_letter_of_a_specimen"
            ),
            models.UniqueConstraint(
                fields=["limit_sample", "letter"], name="one_copy_per_letter_of_a_limit_sample"
            ),
        ]

    def __str__(self) -> str:
        return self.letter


class Handling(Fact):
    """A copy was taken out, brought back, looked at, moved or renewed; how it was found."""

    class What(models.TextChoices):
        OUT = "out", _("taken out")
        BACK = "back", _("brought back")
        CHECKED = "checked", _("looked at")
        MOVED = "moved", _("moved")
        RENEWED = "renewed", _("valid for longer")

    copy = models.ForeignKey(PartCopy, models.PROTECT, related_name="handlings")
    what = models.CharField(max_length=10, choices=What)
    at = models.DateTimeField()
    # How often it passed through hands since the last entry: once, or once per judgement of an exam.
    times = models.PositiveIntegerField(default=1)
    condition = models.CharField(max_length=10, choices=Condition, default=Condition.SOUND)
    place = models.CharField(max_length=120, blank=True)
    expires_day = models.DateField(null=True, blank=True)
    words = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        app_label = "specimens"

    def __str__(self) -> str:
        return f"{self.what} {self.at:%Y-%m-%d}"
