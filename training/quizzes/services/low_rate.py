"""Starting a low-rate round: 40 parts, two or three of them bad, judged as in an exam."""

import datetime as dt
import secrets

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.people.models import Device, Person
from training.quizzes.low_rates import draw_low_rate
from training.quizzes.models import ExamPlan, Kind, Sitting
from training.quizzes.plan_rules import AHEAD, LEAST_LOOK_MS
from training.quizzes.scoring import Part
from training.quizzes.selectors.bank import bank_for
from training.quizzes.selectors.low_rate import group_for, running_low_rate
from training.quizzes.services.rounds import shown_of, write_round
from training.quizzes.worked_plan import Form, WorkedPlan
from training.specimens.models import Pool


@transaction.atomic
def start_low_rate(
    *,
    person: Person,
    plan: ExamPlan,
    moment: dt.datetime,
    device: Device | None = None,
    seed: str | None = None,
) -> Sitting:
    """Start a low-rate round, or return the one that is not finished: there is one at a time.

    Raises
    ------
    ValidationError
        When the teaching pool is too small.
    """
    running = running_low_rate(person)
    if running is not None:
        return running
    seed = seed or secrets.token_hex(16)
    day = timezone.localdate(moment)
    bank = bank_for(person, pool=Pool.TEACHING, day=day)
    found = group_for(person, bank, day)
    if found is None or found.lacking:
        raise ValidationError(
            _("The teaching pool is too small for a low-rate round."), code="pool"
        )
    slugs = [family.slug for family in found.families]
    draw = draw_low_rate(bank.candidates, slugs, seed=seed)
    drawn = [pick.candidate for pick in draw.picks if pick.part is Part.BAD]
    worked = WorkedPlan(
        form=Form.PRACTICE,
        bad={slug: sum(each.family == slug for each in drawn) for slug in slugs},
        misses_allowed=None,
        family_misses_allowed={},
        good=len(draw.picks) - len(drawn),
        false_rejects_allowed=0,
        ahead=AHEAD,
        least_look_ms=LEAST_LOOK_MS,
        draw=draw.as_json(),
    )
    return write_round(
        person=person,
        kind=Kind.LOW_RATE,
        plan=plan,
        worked=worked,
        families=found.families,
        shown=shown_of(draw, bank.rows),
        moment=moment,
        device=device,
        seed=seed,
    )
