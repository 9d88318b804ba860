"""The demo's agreement studies: one finished with three different eyes, one with rounds that are due."""

import pytest

from media_demo.plant.agreement import load_studies
from media_demo.plant.build import build_plant
from tests.conftest import NOON
from training.people.models import Person
from training.people.record.verify import verify
from training.quizzes.agreement.reading import read_study
from training.quizzes.models import AgreementStudy
from training.quizzes.selectors.studies import State, own_rounds, progress_of_study, study_table

pytestmark = pytest.mark.django_db


def test_one_is_finished_and_one_has_rounds_that_are_due() -> None:
    plant = build_plant(NOON, lambda _line: None)
    plant.ledger.write_all()
    given = load_studies(plant)
    finished, running = AgreementStudy.objects.order_by("number")
    progress = progress_of_study(finished, NOON)
    assert progress.complete
    answers = study_table(progress).answers
    assert answers is not None
    read = read_study(answers)
    assert (read.bad, read.good, len(read.judges)) == (10, 10, 3)
    assert read.disputed
    lenient = read.judges[1].figures
    assert lenient.misses.count > lenient.false_alarms.count
    still = progress_of_study(running, NOON)
    assert not still.over
    assert any(each.next and each.next.state is State.DUE for each in still.judges)
    (due,) = own_rounds(Person.objects.get(personnel_no="1028"), NOON)
    assert (due.study, due.round.number, due.round.state) == (running, 2, State.DUE)
    assert given == 20 * 6 + still.parts * still.done
    assert verify().breaks == ()
