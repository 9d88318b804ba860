"""Agreement studies: planning one, opening its rounds, and closing it."""

import datetime as dt
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from training.people.models import ChainHead, Device, Person
from training.people.record.chain import append
from training.people.record.models import PLANT
from training.people.selectors import is_employed
from training.quizzes.agreement.drawing import Chosen, order_of_round
from training.quizzes.models import (
    AgreementStudy,
    ExamPlan,
    Kind,
    Presented,
    Sitting,
    StudyJudge,
    StudyPart,
    StudyRound,
)
from training.quizzes.plan_rules import read_rules
from training.quizzes.scoring import Part
from training.quizzes.selectors.studies import (
    FILE,
    State,
    earlier_orders,
    progress_of_study,
    round_plans,
)
from training.quizzes.selectors.study_pool import Pooled
from training.quizzes.services.plans import publish_plan
from training.quizzes.worked_plan import Form, WorkedPlan
from training.specimens.models import ReferenceDecision, Specimen
from training.specimens.register import usable_parts

REJECT = ReferenceDecision.Decision.REJECT
SERIES: Final = "AG-"
STUDY_PLAN: Final = "study-round"
PLAN_NAME: Final = {
    "en": "Round of an agreement study",
    "es": "Ronda de un estudio de concordancia",
}


@dataclass(frozen=True)
class Design:
    """What is fixed when a study is planned."""

    name: str
    basis: str
    repeats: int
    gap_hours: int
    note: str = ""


@transaction.atomic
def add_study(
    *,
    design: Design,
    people: Sequence[Person],
    chosen: Chosen,
    bank: Pooled,
    seed: str,
    opened_by: Person,
    moment: dt.datetime,
) -> AgreementStudy:
    """Plan a study with these people and parts; from now on its rounds may be opened.

    The parts and the decisions they are compared with are frozen: a limit that moves later does not
    change what the study asks.
    """
    if not 2 <= design.repeats <= 5:
        raise ValidationError({"repeats": _("A part is judged 2 to 5 times by each person.")})
    if not people:
        raise ValidationError({"people": _("Choose at least one person.")})
    ensure_round_plan(day=timezone.localdate(moment), published_by=opened_by)
    study = AgreementStudy(
        number=next_study_number(),
        name=design.name,
        basis=design.basis,
        repeats=design.repeats,
        gap_hours=design.gap_hours,
        note=design.note,
        seed=seed,
        opened_at=moment,
        opened_by=opened_by,
    )
    study.full_clean()
    study.save()
    numbers = dict(
        Specimen.objects.filter(pk__in=[part.key for part in chosen.parts]).values_list(
            "pk", "number"
        )
    )
    by_key = {str(pk): number for pk, number in numbers.items()}
    StudyPart.objects.bulk_create(
        StudyPart(
            study=study,
            position=position,
            label=by_key[part.key],
            specimen_id=part.key,
            decision_id=bank.decisions[part.key][0],
            reference=bank.decisions[part.key][1],
        )
        for position, part in enumerate(chosen.parts, start=1)
    )
    StudyJudge.objects.bulk_create(
        StudyJudge(study=study, position=position, label=letter(position), person=person)
        for position, person in enumerate(people, start=1)
    )
    return study


def letter(position: int) -> str:
    """Return A, B, … Z, then A2, B2, …: what figures call the people of a study."""
    turn, place = divmod(position - 1, 26)
    return chr(ord("A") + place) + (str(turn + 1) if turn else "")


def next_study_number() -> str:
    """Return the next number of a study: AG-0001, AG-0002, …"""
    count = AgreementStudy.objects.count() + 1
    while AgreementStudy.objects.filter(number=f"{SERIES}{count:04d}").exists():
        count += 1
    return f"{SERIES}{count:04d}"


def ensure_round_plan(*, day: dt.date, published_by: Person) -> ExamPlan:
    """Return the plan that rounds are sat under; the first study publishes it."""
    return round_plans().first() or publish_plan(
        code=STUDY_PLAN,
        form=ExamPlan.Form.STUDY,
        name=PLAN_NAME,
        parameters={},
        reason="Published with the first agreement study",
        day=day,
        published_by=published_by,
    )


@transaction.atomic
def open_round(
    *,
    judge: StudyJudge,
    opened_by: Person,
    moment: dt.datetime,
    device: Device | None = None,
    sitting_seed: str | None = None,
) -> Sitting:
    """Open a person's next round: all parts of the study, in an order this person never had.

    Opened on a device it is judged there. It has no decision, no early stop and no answers shown.
    """
    # One after the other from here on, so that nobody opens a round twice.
    ChainHead.objects.select_for_update().filter(name=PLANT).first()
    study, person = judge.study, judge.person
    number = _next_number(judge, moment)
    if person is None or not is_employed(person, timezone.localdate(moment)):
        name = person.name if person else judge.label
        raise ValidationError(_("%(name)s is not employed on this day.") % {"name": name})
    parts = list(study.parts.select_related("specimen__family__group", "decision"))
    _check_copies(study, parts, timezone.localdate(moment))
    order = order_of_round(
        [str(part.specimen_id) for part in parts],
        seed=study.seed,
        judge=judge.position,
        number=number,
        earlier=earlier_orders(judge),
    )
    sitting = _sitting(
        judge,
        parts,
        number=number,
        opened_by=opened_by,
        moment=moment,
        device=device,
        seed=sitting_seed or secrets.token_hex(16),
    )
    by_key = {str(part.specimen_id): part for part in parts}
    presented = [
        _presented(sitting, by_key[key], ordinal) for ordinal, key in enumerate(order, start=1)
    ]
    append(sitting, *presented, chain=sitting.own_chain, moment=moment)
    # A round broken off is sat anew: the old sitting stays in the record and no longer counts.
    StudyRound.objects.update_or_create(judge=judge, number=number, defaults={"sitting": sitting})
    return sitting


def _check_copies(study: AgreementStudy, parts: Sequence[StudyPart], day: dt.date) -> None:
    """Refuse a round of real parts while one of them cannot be judged. Costs one query."""
    if study.basis != AgreementStudy.Basis.PHYSICAL:
        return
    usable = usable_parts(day)
    missing = [part.label for part in parts if part.specimen_id not in usable]
    if missing:
        raise ValidationError(
            _("Without a usable copy today: %(parts)s. Put the register right, or close the study.")
            % {"parts": ", ".join(missing)},
            code="copies",
        )


def _next_number(judge: StudyJudge, moment: dt.datetime) -> int:
    """Return the number of the round that may be opened now, or raise ValidationError saying why not."""
    study = judge.study
    if study.closed_at is not None or study.basis == FILE:
        raise ValidationError(_("This study is closed."), code="closed")
    progress = progress_of_study(study, moment)
    own = next(each for each in progress.judges if each.judge.pk == judge.pk).next
    if own is None:
        raise ValidationError(_("All rounds of this person are done."), code="done")
    if own.state is State.RUNNING:
        raise ValidationError(
            _("Round %(number)d is still running. Finish it first.") % {"number": own.number},
            code="running",
        )
    if own.state is State.WAITING and own.due_from is not None:
        pattern = pgettext("pattern of a moment", "j M Y, H:i")
        raise ValidationError(
            _("Round %(number)d opens %(moment)s, so that nobody remembers their answers.")
            % {
                "number": own.number,
                "moment": format_date(timezone.localtime(own.due_from), pattern),
            },
            code="gap",
        )
    return own.number


def _sitting(
    judge: StudyJudge,
    parts: Sequence[StudyPart],
    *,
    number: int,
    opened_by: Person,
    moment: dt.datetime,
    device: Device | None,
    seed: str,
) -> Sitting:
    person = judge.person
    if person is None:
        raise ValueError("Nobody sits a study whose answers came from a file.")
    families = sorted(
        {part.specimen.family for part in parts if part.specimen is not None},
        key=lambda family: (family.group_id, family.position),
    )
    groups = list(dict.fromkeys(family.group.code for family in families))
    plan = ensure_round_plan(day=timezone.localdate(moment), published_by=opened_by)
    worked = worked_round(plan, parts)
    base = f"{judge.study.number}-{judge.position}-{number}"
    taken = Sitting.objects.filter(number__startswith=base).count()
    return Sitting(
        # Sat anew, a round carries a letter: AG-0001-2-1b.
        number=base + (chr(ord("a") + taken) if taken else ""),
        person=person,
        kind=Kind.STUDY,
        plan=plan,
        worked_plan=worked.as_json(),
        groups=groups,
        families=[family.slug for family in families],
        opened_at=moment,
        device=device,
        language=person.ui_language,
        seed=seed,
        recorded_by=opened_by,
        recorded_at=moment,
    )


def worked_round(plan: ExamPlan, parts: Sequence[StudyPart]) -> WorkedPlan:
    """Return the plan of a round: every part once, nothing that could be passed or lost."""
    rules = read_rules(plan.form, plan.parameters)
    bad: dict[str, int] = {}
    good = 0
    for part in parts:
        if part.specimen is None:
            continue
        slug = part.specimen.family.slug
        is_bad = part.reference == REJECT
        bad[slug] = bad.get(slug, 0) + is_bad
        good += not is_bad
    return WorkedPlan(
        form=Form.STUDY,
        bad=bad,
        misses_allowed=None,
        family_misses_allowed=dict(bad),
        good=good,
        false_rejects_allowed=good,
        stop_when_lost=False,
        ahead=rules.ahead,
        least_look_ms=rules.least_look_ms,
    )


def _presented(sitting: Sitting, part: StudyPart, ordinal: int) -> Presented:
    specimen, decision = part.specimen, part.decision
    if specimen is None or decision is None:
        raise ValueError("Nobody is shown a part whose answers came from a file.")
    return Presented(
        sitting=sitting,
        ordinal=ordinal,
        specimen=specimen,
        decision=decision,
        work_instruction_id=decision.work_instruction_id,
        part=str(Part.BAD if part.reference == REJECT else Part.GOOD),
        recorded_by_id=sitting.recorded_by_id,
    )


@transaction.atomic
def close_study(*, study: AgreementStudy, closed_by: Person, moment: dt.datetime) -> AgreementStudy:
    """Close a study: no more rounds are opened, and its answers are shown."""
    if study.closed_at is not None:
        raise ValidationError(_("This study is closed."), code="closed")
    progress = progress_of_study(study, moment)
    running = [
        each.judge.label
        for each in progress.judges
        if each.next is not None and each.next.state is State.RUNNING
    ]
    if running:
        raise ValidationError(
            _("A round of %(names)s is still running. Finish it or break it off first.")
            % {"names": ", ".join(running)},
            code="running",
        )
    study.closed_at, study.closed_by = moment, closed_by
    study.save(update_fields=["closed_at", "closed_by"])
    return study
