"""Opening sittings: the draw is made, frozen and chained before the first picture is shown."""

import datetime as dt
import secrets
import uuid
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.people.models import ChainHead, Device, Person
from training.people.record.chain import append
from training.people.record.models import PLANT
from training.people.selectors import is_employed
from training.people.signing import sign
from training.quizzes.again_words import hold_words
from training.quizzes.drawing import Draw
from training.quizzes.kinds import PRACTICE
from training.quizzes.models import ExamPlan, Kind, Presented, Sitting
from training.quizzes.plan_rules import Rules, read_rules
from training.quizzes.redrawing import KEY, Asked, asked_of
from training.quizzes.selectors.bank import Bank, bank_for
from training.quizzes.selectors.plans import exam_plans_besides, withdrawal_of
from training.quizzes.selectors.tries import history_of
from training.quizzes.withdrawn_words import refused_text
from training.quizzes.words import here, not_examinable
from training.quizzes.worked_plan import WorkedPlan
from training.quizzes.working_out import NotExaminableError, work_out
from training.specimens.models import Pool
from training.specimens.services.pools import mark_answer_shown

EXAMS = (Kind.QUALIFICATION, Kind.REQUALIFICATION)
SIGNED_AS = "opened a qualification"


@transaction.atomic
def open_qualification(
    *,
    person: Person,
    families: Sequence[Family],
    plan: ExamPlan,
    invigilator: Person,
    signature_method: str,
    moment: dt.datetime,
    device: Device | None = None,
    critical: Collection[Family] = (),
    kind: str = Kind.QUALIFICATION,
    own_jobs: Collection[uuid.UUID] | None = None,
    pictured_only: bool | None = None,
    limits_of: dt.date | None = None,
    language: str | None = None,
    seed: str | None = None,
    number: str | None = None,
) -> Sitting:
    """Open an exam for a named person and draw its specimens; the invigilator has just signed.

    `critical` are those of the families examined at critical level. `signature_method` says how the
    invigilator's secret was confirmed. Without `pictured_only` the plan says whether specimens must
    have pictures; without `limits_of` the limits in force on the day decide. Without `language` it
    begins in the person's own. Without `seed` and `number` new ones are made.
    """
    day = timezone.localdate(moment)
    rules = read_rules(plan.form, plan.parameters)
    _check_exam(person, invigilator, plan, kind, day)
    if language is not None and language not in dict(settings.LANGUAGES):
        raise ValidationError({"language": _("The exam cannot be sat in this language.")})
    check_tries(person, families, rules, day)
    bank = bank_for(
        person,
        pool=Pool.EXAM,
        day=day,
        own_jobs=own_jobs,
        pictured_only=rules.pictured if pictured_only is None else pictured_only,
        limits_of=limits_of,
    )
    asked = asked_of(
        bank.candidates,
        [family.slug for family in families],
        jobs=bank.jobs,
        limits_of=limits_of or day,
        pictured_only=rules.pictured if pictured_only is None else pictured_only,
    )
    # One after the other from here on, so that numbers follow each other.
    ChainHead.objects.select_for_update().filter(name=PLANT).first()
    sitting = _open(
        person=person,
        families=families,
        critical=critical,
        plan=plan,
        rules=rules,
        bank=bank,
        kind=kind,
        number=number or next_number(),
        seed=seed or secrets.token_hex(16),
        moment=moment,
        invigilator=invigilator,
        device=device,
        language=language or person.ui_language,
        asked=asked,
    )
    sign(
        person=invigilator,
        meaning=SIGNED_AS,
        subject=sitting,
        method=signature_method,
        moment=moment,
        device=device,
    )
    return sitting


@transaction.atomic
def start_practice(
    *,
    person: Person,
    families: Sequence[Family],
    plan: ExamPlan,
    moment: dt.datetime,
    device: Device | None = None,
    seed: str | None = None,
    number: str | None = None,
) -> Sitting:
    """Start a practice round from the teaching pool; it needs nobody else and decides nothing."""
    if plan.form != ExamPlan.Form.PRACTICE:
        raise ValidationError(_("This plan is for exams, not for practice."))
    bank = bank_for(person, pool=Pool.TEACHING, day=timezone.localdate(moment))
    return _open(
        person=person,
        families=families,
        critical=(),
        plan=plan,
        rules=read_rules(plan.form, plan.parameters),
        bank=bank,
        kind=Kind.PRACTICE,
        # Practice is not counted through: its number need only be its own.
        number=number or f"P-{uuid.uuid4().hex[:10].upper()}",
        seed=seed or secrets.token_hex(16),
        moment=moment,
        invigilator=None,
        device=device,
        language=person.ui_language,
    )


def next_number() -> str:
    """Return the next number of an exam: S-0001, S-0002, …"""
    count = Sitting.objects.filter(number__startswith="S-").count() + 1
    while Sitting.objects.filter(number=f"S-{count:04d}").exists():
        count += 1
    return f"S-{count:04d}"


def running_exam(person: Person) -> Sitting | None:
    """Return the exam the person has not ended, or None. Costs one query."""
    return Sitting.objects.filter(person=person, kind__in=EXAMS, end=None).first()


def _check_exam(
    person: Person, invigilator: Person, plan: ExamPlan, kind: str, day: dt.date
) -> None:
    if person.pk == invigilator.pk:
        raise ValidationError(_("Nobody opens an exam for themselves: ask another invigilator."))
    if kind not in EXAMS or plan.form == ExamPlan.Form.PRACTICE:
        raise ValidationError(_("This plan is for practice, not for exams."))
    if plan.is_draft or plan.day > day:
        raise ValidationError(_("This plan is not in force yet."))
    withdrawn = withdrawal_of(plan, day)
    if withdrawn is not None:
        instead = exam_plans_besides(plan.code, day)
        raise ValidationError(refused_text(plan, withdrawn, instead), code="withdrawn")
    if not is_employed(person, day):
        raise ValidationError(_("%(name)s is not employed on this day.") % {"name": person.name})
    running = running_exam(person)
    if running is not None:
        raise ValidationError(
            _("Exam %(number)s of %(name)s is still running. Finish it or end it first.")
            % {"number": running.number, "name": person.name}
        )


def check_tries(person: Person, families: Sequence[Family], rules: Rules, day: dt.date) -> None:
    """Refuse another try before coaching, wait and release; say what is missing."""
    slugs = [family.slug for family in families]
    holds = history_of(person, slugs).holds(slugs, rules, day)
    names = {family.slug: here(family.name) for family in families}
    missing = [line for words in hold_words(holds, names) for line in words.lines]
    if missing:
        raise ValidationError([ValidationError(line, code="again") for line in missing])


def _open(
    *,
    person: Person,
    families: Sequence[Family],
    critical: Collection[Family],
    plan: ExamPlan,
    rules: Rules,
    bank: Bank,
    kind: str,
    number: str,
    seed: str,
    moment: dt.datetime,
    invigilator: Person | None,
    device: Device | None,
    language: str,
    asked: Asked | None = None,
) -> Sitting:
    marked = [family.slug for family in critical]
    worked, draw = _work_out(rules, bank, families, marked, seed)
    if asked is not None:
        worked = replace(worked, draw=worked.draw | {KEY: asked.as_json()})
    sitting = Sitting(
        number=number,
        person=person,
        kind=kind,
        plan=plan,
        worked_plan=worked.as_json(),
        groups=_group_codes(families),
        families=[family.slug for family in families],
        critical_families=marked if worked.examines_critical else [],
        opened_at=moment,
        invigilator=invigilator,
        device=device,
        language=language,
        seed=seed,
        recorded_by=invigilator or person,
        recorded_at=moment,
    )
    presented = _presented(sitting, draw, bank)
    if kind in PRACTICE:
        # Whatever is in it counts as shown with its answer, whether or not it is judged.
        mark_answer_shown(specimens=[each.specimen_id for each in presented], moment=moment)
    append(sitting, *presented, chain=sitting.own_chain, moment=moment)
    return sitting


def _work_out(
    rules: Rules, bank: Bank, families: Sequence[Family], marked: Iterable[str], seed: str
) -> tuple[WorkedPlan, Draw]:
    slugs = [family.slug for family in families]
    try:
        return work_out(rules, bank.candidates, slugs, marked, seed=seed)
    except NotExaminableError as error:
        names = {family.slug: here(family.name) for family in families}
        raise ValidationError(not_examinable(error.wanted, names), code="bank") from error
    except ValueError as error:
        raise ValidationError({"families": str(error)}) from error


def _group_codes(families: Sequence[Family]) -> list[str]:
    groups = {family.group.pk: family.group for family in families}
    return [group.code for group in sorted(groups.values(), key=lambda group: group.position)]


def _presented(sitting: Sitting, draw: Draw, bank: Bank) -> list[Presented]:
    rows = [bank.rows[pick.candidate.key] for pick in draw.picks]
    return [
        Presented(
            sitting=sitting,
            ordinal=ordinal,
            specimen_id=row.specimen_id,
            decision_id=row.decision_id,
            work_instruction_id=row.work_instruction_id,
            part=str(pick.part),
            recorded_by_id=sitting.recorded_by_id,
        )
        for ordinal, (pick, row) in enumerate(zip(draw.picks, rows, strict=True), start=1)
    ]
