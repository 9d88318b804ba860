"""Deciding what a specimen is: the facts that every score rests on."""

import datetime as dt
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.floor.models import Family, GeneralLimits, WorkInstruction
from training.people.models import Person
from training.people.record.chain import append, erasable
from training.specimens.models import Action, ReferenceDecision, Specimen
from training.specimens.standards import (
    CannotMeasureError,
    Looked,
    Measured,
    standard_of,
    too_near,
)

Decision, Basis = ReferenceDecision.Decision, ReferenceDecision.Basis


@transaction.atomic
def decide_reference(
    *,
    specimen: Specimen,
    work_instruction: WorkInstruction | None,
    decision: str,
    action: str,
    basis: str,
    by: Person | None,
    moment: dt.datetime,
    family: Family | None = None,
    general: GeneralLimits | None = None,
    severity_ratio: Decimal | None = None,
    clear: bool = False,
    reason: str = "",
) -> ReferenceDecision:
    """Write what a specimen is under one revision of the limits; it corrects the one before.

    Raises
    ------
    ValidationError
        By field: a reject needs a family and something to do about the part, an accepted part
        runs on, and a sheet must be the specimen's job's own.
    """
    fact = ReferenceDecision(
        specimen=specimen,
        work_instruction=work_instruction,
        general=general,
        decision=decision,
        family=family,
        action=action,
        basis=basis,
        severity_ratio=severity_ratio,
        clear=clear,
        recorded_by=by,
    )
    check_decision(fact)
    fact.corrects = (
        ReferenceDecision.objects.filter(specimen=specimen, work_instruction=work_instruction)
        .order_by("-recorded_at", "-position")
        .first()
    )
    if reason.strip():
        fact.reason = erasable(reason.strip())
    append(fact, moment=moment)
    return fact


def check_decision(fact: ReferenceDecision) -> None:
    """Refuse a decision that contradicts itself, by field."""
    if fact.decision not in Decision.values:
        raise ValidationError({"decision": _("Say accept or reject.")})
    if fact.basis not in Basis.values:
        raise ValidationError({"basis": _("Say what the decision rests on.")})
    if fact.action not in Action.values:
        raise ValidationError({"action": _("Say what is done about the part.")})
    runs_on = fact.action == Action.KEEP_RUNNING
    if fact.decision == Decision.REJECT and runs_on:
        raise ValidationError({"action": _("A rejected part is never just let run on.")})
    if fact.decision == Decision.ACCEPT and not runs_on:
        raise ValidationError(
            {"action": _("About an accepted part nothing is done: keep running.")}
        )
    if fact.decision == Decision.REJECT and fact.family_id is None:
        raise ValidationError({"family": _("Say which defect family it is rejected for.")})
    if fact.decision == Decision.ACCEPT and fact.clear:
        raise ValidationError({"clear": _("Only a rejected part can be clearly bad.")})
    sheet = fact.work_instruction
    if sheet is not None and sheet.job_id != fact.specimen.job_id:
        raise ValidationError({"work_instruction": _("This sheet belongs to another job.")})


def decide_by_measurement(
    *,
    specimen: Specimen,
    by: Person | None,
    moment: dt.datetime,
    day: dt.date,
    action: str = Action.SEGREGATE,
    looked: Looked | None = None,
    reason: str = "",
) -> ReferenceDecision:
    """Decide by the measured severity and the limits of the specimen's job on the day.

    `action` is what is done about a part that is rejected.

    Raises
    ------
    ValidationError
        If the limits cannot be answered by a measured severity, or it lies within 5 % of them; the
        remedy is a panel, or a decision by hand.
    """
    standard = standard_of(specimen.job, day)
    try:
        said = standard.measure(
            family=specimen.family.slug,
            zone=specimen.zone,
            severity=specimen.severity,
            unit=specimen.unit,
            looked=looked,
        )
    except CannotMeasureError as error:
        raise ValidationError({"basis": cannot_measure(error)}) from error
    if too_near(said.ratio):
        raise ValidationError({"basis": too_near_words()})
    return decide_reference(
        specimen=specimen,
        work_instruction=standard.sheet,
        general=standard.general if said.by_general else None,
        decision=said.decision,
        family=specimen.family,
        action=action_for(said, action),
        basis=Basis.MEASURED,
        severity_ratio=said.ratio,
        clear=said.clear,
        by=by,
        moment=moment,
        reason=reason,
    )


def too_near_words() -> str:
    """Return why a severity that lies at its limit decides nothing, and what to do instead."""
    return _(
        "It lies within 5 percent of the limit: the measurement cannot tell the sides apart. Give it to"
        " a panel, or decide by hand; it examines nobody either way."
    )


def action_for(said: Measured, if_rejected: str) -> str:
    return if_rejected if said.decision == Decision.REJECT else Action.KEEP_RUNNING


def cannot_measure(error: CannotMeasureError) -> str:
    """Return why a measurement does not decide, and what to do instead."""
    return {
        "no_severity": _("No severity was measured. Measure it, or decide by hand."),
        "no_unit": _("The unit of the severity is not one that limits use. Decide by hand."),
        "no_limit": _(
            "Neither the job's sheet nor the site's general limits say anything about this family"
            " in this zone. Add a limit, or decide by hand."
        ),
        "open": _(
            "A line of the limit is judged by eye and was not answered: say whether it shows at the"
            " job's viewing distance, or decide by hand."
        ),
        "undecidable": _(
            "The lines of this limit are not measured in the severity's unit, or rest on a sample."
            " Decide by hand."
        ),
    }[error.code]
