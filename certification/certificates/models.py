"""Certificates and the facts beside them: observed checks, arrangements, orders and rules."""

import datetime as dt
import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, Job, JobGroup, Level, Press
from training.people.models import Crew, ErasableText, Fact, Person
from training.quizzes.models import Sitting


class ValidityRules(models.Model):
    """A revision of the plant's rules: how long things last and what ends them."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    revision = models.PositiveSmallIntegerField(unique=True)
    day = models.DateField()
    # Fields of certificates.standing.Rules; whole numbers of days or minutes.
    parameters = models.JSONField(default=dict)
    reason = models.CharField(max_length=200)
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["revision"]
        verbose_name_plural = "validity rules"

    def __str__(self) -> str:
        return f"{self.revision}"


class CertificateQuerySet(models.QuerySet["Certificate"]):
    def covering(self, day: dt.date) -> "CertificateQuerySet":
        """Certificates whose days include this one, whatever happened to them since."""
        return self.filter(granted_day__lte=day, expires_day__gte=day)


class Certificate(Fact):
    """The grant of a person's right to judge a family, with its days and what it rests on."""

    class Basis(models.TextChoices):
        SITTING = "sitting", _("passed by plan")
        CARRIED_OVER = "carried_over", _("carried over from paper")
        PHYSICAL = "physical", _("physical specimens")

    person = models.ForeignKey(Person, models.PROTECT, related_name="certificates")
    family = models.ForeignKey(Family, models.PROTECT, related_name="certificates")
    level = models.CharField(max_length=10, choices=Level)
    granted_day = models.DateField()
    expires_day = models.DateField()
    basis = models.CharField(max_length=20, choices=Basis)
    rules = models.ForeignKey(ValidityRules, models.PROTECT, null=True, related_name="+")
    sitting = models.ForeignKey(
        Sitting, models.PROTECT, null=True, blank=True, related_name="certificates"
    )
    # The named decider, or the publisher of the rule where the rule grants by itself.
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    by_rule = models.BooleanField(default=False)
    short_bank = models.BooleanField(default=False)
    paper_ref = models.CharField(max_length=60, blank=True)
    voucher = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    order_no = models.CharField(max_length=20, blank=True)

    objects = CertificateQuerySet.as_manager()

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["person", "family", "expires_day"])]
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=["sitting", "family"],
                condition=models.Q(corrects=None),
                name="one_certificate_per_sitting_and_family",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.family_id} {self.level} {self.expires_day}"


class SittingDecision(Fact):
    """What was decided about a passed sitting, by whom, and why where less was given than asked."""

    class Outcome(models.TextChoices):
        GRANTED = "granted", _("granted")
        ORDINARY_ONLY = "ordinary_only", _("granted at ordinary level only")
        NOT_GRANTED = "not_granted", _("not granted")

    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="decisions")
    outcome = models.CharField(max_length=14, choices=Outcome)
    # The named decider, or the publisher of the rule where the rule grants by itself.
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    by_rule = models.BooleanField(default=False)
    reason = models.ForeignKey(
        ErasableText, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta(Fact.Meta):
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=["sitting"],
                condition=models.Q(corrects=None),
                name="one_decision_per_sitting",
            ),
        ]

    def __str__(self) -> str:
        return self.outcome


class CertificateEvent(Fact):
    """Something that happened to a certificate after it was granted."""

    class Kind(models.TextChoices):
        SUSPENDED = "suspended", _("suspended")
        RESTORED = "restored", _("restored")
        WITHDRAWN = "withdrawn", _("withdrawn")

    certificate = models.ForeignKey(Certificate, models.PROTECT, related_name="events")
    kind = models.CharField(max_length=12, choices=Kind)
    day = models.DateField()
    reason = models.ForeignKey(ErasableText, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.kind} {self.day}"


class ObservedCheck(Fact):
    """A trainer watched the person at the press and signed, with a second signer."""

    class Holds(models.TextChoices):
        RUNS_ALONE = "runs_alone", _("runs alone")
        CAN_TEACH = "can_teach", _("can teach")

    person = models.ForeignKey(Person, models.PROTECT, related_name="observed_checks")
    job_group = models.ForeignKey(JobGroup, models.PROTECT, related_name="observed_checks")
    job = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="+")
    level = models.CharField(max_length=12, choices=Holds)
    observed_day = models.DateField()
    observer = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    second_signer = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    trainee_signed = models.BooleanField(default=False)
    planted_shown = models.PositiveSmallIntegerField(null=True, blank=True)
    planted_found = models.PositiveSmallIntegerField(null=True, blank=True)
    good_shown = models.PositiveSmallIntegerField(null=True, blank=True)
    good_refused = models.PositiveSmallIntegerField(null=True, blank=True)
    basis = models.CharField(max_length=20, default="form")
    paper_ref = models.CharField(max_length=60, blank=True)
    # Last day worked before the record of turns begins, for sign-offs carried over.
    last_worked_before = models.DateField(null=True, blank=True)

    class Meta(Fact.Meta):
        indexes = [models.Index(fields=["person", "job_group"])]

    def __str__(self) -> str:
        return f"{self.job_group_id} {self.observed_day}"


class Arrangement(Fact):
    """A learner's standing arrangement: which job, in what way, beside whom, from when to when."""

    class Kind(models.TextChoices):
        LEARNING = "learning", _("learning")
        UNDER_SUPERVISION = "under_supervision", _("under supervision")

    person = models.ForeignKey(Person, models.PROTECT, related_name="arrangements")
    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    kind = models.CharField(max_length=20, choices=Kind)
    buddy = models.ForeignKey(Person, models.PROTECT, related_name="arrangements_as_buddy")
    from_day = models.DateField()
    to_day = models.DateField()
    note = models.ForeignKey(ErasableText, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.kind} {self.from_day}"


class Appointment(Fact):
    """Quality names somebody for a time: founding observers and deciders, or a launch."""

    class Kind(models.TextChoices):
        FOUNDING = "founding", _("founding")
        LAUNCH = "launch", _("launch")

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=10, choices=Kind)
    appointed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    personnel_numbers = models.JSONField(default=list)
    job = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="+")
    from_day = models.DateField()
    to_day = models.DateField()
    reason = models.ForeignKey(ErasableText, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return self.number


class RequalificationOrder(Fact):
    """Who must requalify, in what, by when, because of what."""

    number = models.CharField(max_length=20, unique=True)
    raised_day = models.DateField()
    raised_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    cause = models.ForeignKey(ErasableText, models.PROTECT, related_name="+")
    families = models.JSONField()
    job_groups = models.JSONField(default=list)
    press = models.ForeignKey(Press, models.PROTECT, null=True, blank=True, related_name="+")
    affected_day = models.DateField(null=True, blank=True)
    crew = models.ForeignKey(Crew, models.PROTECT, null=True, blank=True, related_name="+")
    what = models.CharField(max_length=200)
    due_day = models.DateField()

    def __str__(self) -> str:
        return self.number


class RequalificationNeed(Fact):
    """One person named by an order, and from when it blocks."""

    class Block(models.TextChoices):
        AT_ONCE = "at_once", _("at once")
        AFTER_DUE_DAY = "after_due_day", _("after the due day")

    order = models.ForeignKey(RequalificationOrder, models.PROTECT, related_name="needs")
    person = models.ForeignKey(Person, models.PROTECT, related_name="requalification_needs")
    block = models.CharField(max_length=14, choices=Block)
    due_day = models.DateField()
    why = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"{self.order_id} {self.person_id}"


class RequalificationClosure(Fact):
    """A person named by an order has requalified; free from this day on."""

    need = models.OneToOneField(RequalificationNeed, models.PROTECT, related_name="closure")
    closed_day = models.DateField()
    sitting = models.ForeignKey(Sitting, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.closed_day}"
