"""Numbered real parts: their copies, where they are kept, how often they were handled."""

import datetime as dt
import uuid

from django.db import models
from django.db.models import F, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from training.floor.models import LimitSample
from training.people.models import ErasableText, Fact


class Condition(models.TextChoices):
    """How a real part was found."""

    SOUND = "sound", _("sound")
    WORN = "worn", _("worn")
    DAMAGED = "damaged", _("damaged")
    LOST = "lost", _("lost")


# What nobody is examined with, however long it is valid.
UNFIT = (Condition.DAMAGED, Condition.LOST)


class PartCopyQuerySet(models.QuerySet["PartCopy"]):
    """Copies with what their handlings say of them."""

    def with_state(self) -> "PartCopyQuerySet":
        """Add `condition`, `handled` since it was last looked at, and whether it is `out`."""
        entries = Handling.objects.filter(copy=OuterRef("pk")).order_by("-position")
        looked_at = entries.filter(what=Handling.What.CHECKED).values("position")[:1]
        since = Handling.objects.filter(copy=OuterRef("pk"), position__gt=OuterRef("looked_at"))
        through_hands = since.filter(what__in=(Handling.What.OUT, Handling.What.JUDGED))
        times = through_hands.order_by().values("copy")
        last = entries.filter(what__in=(Handling.What.OUT, Handling.What.BACK))
        columns = {
            "looked_at": Coalesce(Subquery(looked_at), Value(0)),
            "condition": Coalesce(
                Subquery(entries.values("condition")[:1]), Value(Condition.SOUND.value)
            ),
            "last_way": Subquery(last.values("what")[:1]),
        }
        handled = {"handled": Coalesce(Subquery(times.annotate(n=Sum("times")).values("n")), 0)}
        return self.annotate(**columns).annotate(**handled)

    def usable(self, day: dt.date) -> "PartCopyQuerySet":
        """Keep the copies that may be judged on the day: valid, fit, and not handled too often."""
        return (
            self.with_state()
            .filter(Q(withdrawn_day=None) | Q(withdrawn_day__gt=day))
            .filter(Q(expires_day=None) | Q(expires_day__gte=day))
            .filter(Q(most_handlings=None) | Q(handled__lt=F("most_handlings")))
            .exclude(Q(condition__in=UNFIT))
        )


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

    objects = PartCopyQuerySet.as_manager()

    # There after `with_state`.
    condition: str
    handled: int
    last_way: str | None

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
    """A copy was taken out, brought back, judged, looked at, moved or renewed; how it was found."""

    class What(models.TextChoices):
        OUT = "out", _("taken out")
        BACK = "back", _("brought back")
        JUDGED = "judged", _("judged in a sitting")
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
