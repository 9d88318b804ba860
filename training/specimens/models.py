"""Specimens: parts in pictures, what is wrong with them, and the decisions they rest on."""

import datetime as dt
import uuid
from collections.abc import Collection
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, UUIDField, Value
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, FirstPiece, GeneralLimits, Job, WorkInstruction, Zone
from training.people.models import ErasableText, Fact, Role
from training.people.texts import TextField
from training.specimens.panels import PanelItem, PanelLook, PanelRound
from training.specimens.real_parts import Condition, Handling, PartCopy
from training.specimens.series import SetMember, SpecimenSet

__all__ = [
    "Action",
    "Condition",
    "Frame",
    "Handling",
    "PanelItem",
    "PanelLook",
    "PanelRound",
    "PartCopy",
    "Pool",
    "ReferenceDecision",
    "Region",
    "SetMember",
    "Specimen",
    "SpecimenQuerySet",
    "SpecimenSet",
    "View",
]

# Stands for "no work instruction" where two empty values have to be equal.
NO_SHEET = Value(uuid.UUID(int=0), UUIDField())


class Pool(models.TextChoices):
    EXAM = "exam", _("exam")
    TEACHING = "teaching", _("teaching")
    NEITHER = "neither", _("neither")


class Action(models.TextChoices):
    """What an operator does about a part."""

    KEEP_RUNNING = "keep_running", _("keep running")
    TRIM = "trim", _("trim or rework")
    SEGREGATE = "segregate", _("segregate and tag")
    STOP = "stop", _("stop and call")


class SpecimenQuerySet(models.QuerySet["Specimen"]):
    """Questions about specimens as of a day; a specimen is decided by its job's sheet of that day."""

    def kept(self) -> "SpecimenQuerySet":
        return self.filter(retired_day=None)

    def open_to(self, roles: Collection[str]) -> "SpecimenQuerySet":
        """Leave out what these roles may not see with its answer.

        Quality and auditors see every specimen. Trainers sit exams themselves, so they see those
        that teach.
        """
        if {Role.QUALITY, Role.AUDITOR} & set(roles):
            return self.all()
        return self.filter(pool=Pool.TEACHING)

    def with_sheet(self, day: dt.date) -> "SpecimenQuerySet":
        """Add `sheet_id`, the job's work instruction in force on the day, and its `sheet_revision`."""
        in_force = WorkInstruction.objects.filter(job=OuterRef("job"), day__lte=day)
        newest = in_force.newest_first()
        # As a mapping, because the model names these columns itself.
        columns = {
            "sheet_id": Subquery(newest.values("id")[:1]),
            "sheet_revision": Subquery(newest.values("revision")[:1]),
        }
        return self.annotate(**columns)

    def with_decision(
        self, day: dt.date, *, before: dt.datetime | None = None
    ) -> "SpecimenQuerySet":
        """Add what counts on the day: `decision_id`, `decided`, `decided_clear`, `decided_ratio`.

        All four are null where nothing has been decided for the limits in force. With `before` only
        decisions recorded before that moment count.
        """
        in_time = Q() if before is None else Q(recorded_at__lt=before)
        general = GeneralLimits.objects.filter(day__lte=day).order_by("-day", "-revision")
        newest = (
            ReferenceDecision.objects.filter(specimen=OuterRef("pk"))
            .annotate(
                by_sheet=Coalesce("work_instruction_id", NO_SHEET),
                by_general=Subquery(general.values("id")[:1]),
            )
            .filter(
                # A decision that rests on the site's general limits holds for their revision too.
                Q(general=None) | Q(general=F("by_general")),
                in_time,
                by_sheet=Coalesce(OuterRef("sheet_id"), NO_SHEET),
            )
            .order_by("-recorded_at", "-position")
        )
        columns = {
            "decision_id": Subquery(newest.values("id")[:1]),
            "decided": Subquery(newest.values("decision")[:1]),
            "decided_clear": Subquery(newest.values("clear")[:1]),
            "decided_ratio": Subquery(newest.values("severity_ratio")[:1]),
        }
        return self.with_sheet(day).annotate(**columns)

    def with_picture(self) -> "SpecimenQuerySet":
        return self.filter(Exists(Frame.objects.filter(view__specimen=OuterRef("pk"))))

    def that_can_be_scored(self) -> "SpecimenQuerySet":
        """Leave out bad parts of a localised family whose place nobody has outlined."""
        outlined = Exists(Region.objects.filter(view__specimen=OuterRef("pk")))
        return self.filter(
            Q(decided=ReferenceDecision.Decision.ACCEPT)
            | ~Q(family__place__kind="localised")
            | outlined
        )


class Specimen(models.Model):
    """One part, pictured. Its number is permanent; its severity is measured, in the family's unit."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    number = models.CharField(max_length=20, unique=True)
    job = models.ForeignKey(Job, models.PROTECT, related_name="specimens")
    zone = models.CharField(max_length=1, choices=Zone)
    # The family the part was chosen for; a good part of a family may be clean or near its limit.
    family = models.ForeignKey(Family, models.PROTECT, related_name="specimens")
    severity = models.DecimalField(max_digits=9, decimal_places=4, null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    # With what the severity was measured or graded, in words.
    measured_how = models.CharField(max_length=120, blank=True)
    pool = models.CharField(max_length=10, choices=Pool, default=Pool.NEITHER)
    synthetic = models.BooleanField(default=False)
    # How a synthetic picture was drawn, so that it can be drawn again; never shown.
    recipe = models.JSONField(default=dict, blank=True)
    note = TextField(null=True, blank=True)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    retired_day = models.DateField(null=True, blank=True)
    # When somebody was first told its answer; from then on it never examines anybody.
    answer_shown_at = models.DateTimeField(null=True, blank=True)

    objects = SpecimenQuerySet.as_manager()

    # There after `with_sheet` and `with_decision`.
    sheet_id: uuid.UUID | None
    sheet_revision: str | None
    decision_id: uuid.UUID | None
    decided: str | None
    decided_clear: bool | None
    decided_ratio: Decimal | None

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["pool", "family"])]

    def __str__(self) -> str:
        return self.number


class View(models.Model):
    """One view of a specimen or of an approved first piece; its frames are its pictures."""

    class Kind(models.TextChoices):
        WHOLE = "whole", _("whole part")
        CLOSE_UP = "close_up", _("close-up")

    class Change(models.TextChoices):
        NONE = "none", _("one picture")
        TILT = "tilt", _("tilt")
        LIGHT = "light", _("light")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    specimen = models.ForeignKey(
        Specimen, models.CASCADE, null=True, blank=True, related_name="views"
    )
    first_piece = models.ForeignKey(
        FirstPiece, models.CASCADE, null=True, blank=True, related_name="views"
    )
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.WHOLE)
    change = models.CharField(max_length=10, choices=Change, default=Change.NONE)
    px_per_mm = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(specimen__isnull=False, first_piece=None)
                | models.Q(specimen=None, first_piece__isnull=False),
                name="a_view_shows_one_part",
            ),
            # Pictures are addressed by the place of their view.
            models.UniqueConstraint(
                fields=["specimen", "position"], name="one_view_per_place_of_a_specimen"
            ),
            models.UniqueConstraint(
                fields=["first_piece", "position"], name="one_view_per_place_of_a_first_piece"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.position}"


class Frame(models.Model):
    """One picture of a view, re-encoded, without metadata, under a random name."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    view = models.ForeignKey(View, models.CASCADE, related_name="frames")
    position = models.PositiveSmallIntegerField(default=0)
    angle_deg = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    file = models.CharField(max_length=80, unique=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["view", "position"], name="one_frame_per_position")
        ]

    def __str__(self) -> str:
        return self.file


class Region(models.Model):
    """The outline of a defect on a view, in picture pixels: a list of polygons of [x, y]."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    view = models.ForeignKey(View, models.CASCADE, related_name="regions")
    family = models.ForeignKey(Family, models.PROTECT, related_name="+")
    polygons = models.JSONField()

    def __str__(self) -> str:
        return f"{self.family_id}"


class ReferenceDecision(Fact):
    """What a specimen is, judged by one revision of the limits; the newest for a revision counts."""

    class Decision(models.TextChoices):
        ACCEPT = "accept", _("accept")
        REJECT = "reject", _("reject")

    class Basis(models.TextChoices):
        MEASURED = "measured", _("measured against the limit")
        PANEL = "panel", _("settled by the panel")
        QUALITY = "quality", _("decided by quality")

    specimen = models.ForeignKey(Specimen, models.PROTECT, related_name="decisions")
    work_instruction = models.ForeignKey(
        WorkInstruction, models.PROTECT, null=True, blank=True, related_name="+"
    )
    general = models.ForeignKey(
        GeneralLimits, models.PROTECT, null=True, blank=True, related_name="+"
    )
    decision = models.CharField(max_length=10, choices=Decision)
    family = models.ForeignKey(Family, models.PROTECT, null=True, blank=True, related_name="+")
    action = models.CharField(max_length=20, choices=Action)
    basis = models.CharField(max_length=10, choices=Basis)
    # Severity divided by the deciding limit; empty where the limit is "none" or cannot be measured.
    severity_ratio = models.DecimalField(max_digits=8, decimal_places=4, null=True, blank=True)
    # Present or absent, or at least one and a half times the limit: nobody attentive misses it.
    clear = models.BooleanField(default=False)
    # Why, in the words of who decided.
    reason = models.ForeignKey(
        ErasableText, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["specimen", "recorded_at"])]

    def __str__(self) -> str:
        return f"{self.decision}"
