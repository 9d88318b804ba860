"""Starting a refresher: picked for one person, shown with answers, never evidence."""

import datetime as dt
import secrets

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.people.models import Device, Person
from training.quizzes.models import ExamPlan, Kind, Sitting
from training.quizzes.refreshing import draw_refresher
from training.quizzes.scoring import Part
from training.quizzes.selectors.bank import bank_for
from training.quizzes.selectors.refresher import offer_of
from training.quizzes.services.rounds import shown_of, write_round
from training.quizzes.worked_plan import Form, WorkedPlan
from training.specimens.models import Pool


@transaction.atomic
def start_refresher(
    *,
    person: Person,
    plan: ExamPlan,
    moment: dt.datetime,
    device: Device | None = None,
    seed: str | None = None,
) -> Sitting:
    """Start a refresher of the families this person needs it in most.

    Raises
    ------
    ValidationError
        When no family of the teaching pool asks for it.
    """
    seed = seed or secrets.token_hex(16)
    day = timezone.localdate(moment)
    bank = bank_for(person, pool=Pool.TEACHING, day=day)
    offer = offer_of(person, bank, day)
    if not offer.chosen:
        raise ValidationError(_("Nothing needs refreshing yet: practise a round first."))
    draw = draw_refresher(
        bank.candidates, offer.chosen, missed_before=offer.missed_before, seed=seed
    )
    slugs = [each.state.family for each in offer.chosen]
    families = list(Family.objects.filter(slug__in=slugs).select_related("group"))
    drawn = [pick.candidate for pick in draw.picks]
    worked = WorkedPlan(
        form=Form.PRACTICE,
        bad={slug: sum(each.bad and each.family == slug for each in drawn) for slug in slugs},
        misses_allowed=None,
        family_misses_allowed={},
        good=sum(pick.part is Part.GOOD for pick in draw.picks),
        false_rejects_allowed=0,
        least_look_ms=0,
        draw=draw.as_json() | {"why": [each.as_json() for each in offer.chosen]},
    )
    return write_round(
        person=person,
        kind=Kind.REFRESHER,
        plan=plan,
        worked=worked,
        families=sorted(families, key=lambda family: family.position),
        shown=shown_of(draw, bank.rows),
        moment=moment,
        device=device,
        seed=seed,
    )
