"""An agreement study with two people, twelve pictured parts and two rounds."""

import datetime as dt
from collections.abc import Callable, Mapping
from types import SimpleNamespace

import pytest

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import right_answer, wrong_answer
from training.people.models import Person
from training.quizzes.agreement.drawing import choose_parts
from training.quizzes.models import AgreementStudy, Presented, Sitting, StudyJudge
from training.quizzes.selectors.study_pool import pooled
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.studies import Design, add_study, open_round
from training.specimens.models import Pool


@pytest.fixture
def plan_study(
    bank: SimpleNamespace, operator: Person, trainer: Person, quality: Person
) -> Callable[..., AgreementStudy]:
    """Plan a study of black specks; repeats, gap, number of parts and people may be changed."""

    def plan(
        *,
        parts: int = 12,
        repeats: int = 2,
        gap_hours: int = 20,
        people: tuple[Person, ...] = (),
        basis: str = AgreementStudy.Basis.PICTURES,
        moment: dt.datetime = NOON,
    ) -> AgreementStudy:
        chosen_people = people or (operator, trainer)
        offered = pooled(
            pool=Pool.EXAM, basis=basis, families=[bank.specks], people=chosen_people, day=TODAY
        )
        chosen = choose_parts(offered.offers, parts, bad_share=0.5, near_share=0.3, seed="witness")
        return add_study(
            design=Design("Specks at the bench", basis, repeats, gap_hours),
            people=chosen_people,
            chosen=chosen,
            bank=offered,
            seed="witness",
            opened_by=quality,
            moment=moment,
        )

    return plan


@pytest.fixture
def study(plan_study: Callable[..., AgreementStudy]) -> AgreementStudy:
    return plan_study()


@pytest.fixture
def sit_round() -> Callable[..., Sitting]:
    """Open a person's next round and judge all of it; the specimens named in `wrong` wrongly."""

    def sit(
        judge: StudyJudge, moment: dt.datetime, wrong: Mapping[str, object] | tuple[str, ...] = ()
    ) -> Sitting:
        assert judge.person is not None
        sitting = open_round(judge=judge, opened_by=judge.person, moment=moment)
        shown = Presented.objects.filter(sitting=sitting).order_by("ordinal")
        answers = [
            (wrong_answer if each.specimen.number in wrong else right_answer)(each, moment)
            for each in shown.select_related("decision", "specimen__family")
        ]
        ended = moment + dt.timedelta(minutes=10)
        record_judgements(sitting=sitting, answers=answers, moment=ended)
        return sitting

    return sit
