"""Deciding again, by measurement and in one go, what a moved limit has taken out of the exams."""

import datetime as dt
from collections.abc import Collection
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.people.models import Person
from training.people.record.chain import append, erasable_many
from training.specimens.models import Action, ReferenceDecision, Specimen
from training.specimens.services.deciding import action_for, check_decision
from training.specimens.settling import ToSettle, Way, to_settle


@transaction.atomic
def decide_again_by_measurement(
    *,
    specimens: Collection[UUID],
    by: Person,
    moment: dt.datetime,
    day: dt.date,
    reason: str = "",
) -> list[ReferenceDecision]:
    """Decide specimens that lie clear of the limits of the day; all of them or none.

    Raises
    ------
    ValidationError
        When one of them is not decided by its measurement (any more), with its number.
    """
    if not specimens:
        raise ValidationError({"specimens": _("Tick at least one specimen.")})
    waiting = to_settle(day, Specimen.objects.filter(pk__in=specimens))
    ready = [each for each in waiting if each.way is Way.MEASURE]
    missing = set(specimens) - {each.specimen.pk for each in ready}
    if missing:
        numbers = Specimen.objects.filter(pk__in=missing).values_list("number", flat=True)
        raise ValidationError(
            _("Not decided by measurement (any more): %(numbers)s. Look at the list again.")
            % {"numbers": ", ".join(sorted(numbers))}
        )
    before = _actions(specimens)
    facts = [_fact(each, by, before.get(each.specimen.pk, "")) for each in ready]
    if reason.strip():
        for fact, text in zip(facts, erasable_many([reason.strip()] * len(facts)), strict=True):
            fact.reason = text
    append(*facts, moment=moment)
    return facts


def _actions(specimens: Collection[UUID]) -> dict[UUID, str]:
    """Return what was last to be done about each specimen when it was rejected. One query."""
    rejected = ReferenceDecision.objects.filter(
        specimen__in=specimens, decision=ReferenceDecision.Decision.REJECT
    )
    # The last one written stands.
    return dict(rejected.order_by("recorded_at", "position").values_list("specimen_id", "action"))


def _fact(each: ToSettle, by: Person, action: str) -> ReferenceDecision:
    said = each.said
    if said is None:
        raise ValidationError(_("Nothing was measured."))
    fact = ReferenceDecision(
        specimen=each.specimen,
        work_instruction=each.standard.sheet,
        general=each.standard.general if said.by_general else None,
        decision=said.decision,
        family=each.specimen.family,
        action=action_for(said, action or Action.SEGREGATE),
        basis=ReferenceDecision.Basis.MEASURED,
        severity_ratio=said.ratio,
        clear=said.clear,
        recorded_by=by,
    )
    check_decision(fact)
    return fact
