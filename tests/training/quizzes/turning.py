"""Exams judged, and decisions turned after them, for the tests of scoring again."""

import datetime as dt
from types import SimpleNamespace

from tests.conftest import NOON
from tests.training.quizzes.bank import right_answer, wrong_answer
from training.people.models import Person
from training.quizzes.models import Presented, Sitting, SittingEnd
from training.quizzes.services.judging import record_judgements
from training.specimens.models import ReferenceDecision, Specimen
from training.specimens.services.deciding import decide_reference

LATER = NOON + dt.timedelta(hours=2)


def shown(sitting: Sitting) -> list[Presented]:
    rows = Presented.objects.filter(sitting=sitting).select_related("decision", "specimen__family")
    return list(rows.order_by("ordinal"))


def sit(sitting: Sitting, missed: int = 0, refused: int = 0) -> SittingEnd:
    """Judge everything rightly but the first so many bad and good ones."""
    left = {"reject": missed, "accept": refused}
    answers = []
    for row in shown(sitting):
        wrong = left[row.decision.decision] > 0
        left[row.decision.decision] -= 1
        answers.append((wrong_answer if wrong else right_answer)(row, NOON))
    record_judgements(sitting=sitting, answers=answers, moment=NOON)
    return SittingEnd.objects.get(sitting=sitting)


def turn(
    specimen: Specimen, by: Person, plant: SimpleNamespace, moment: dt.datetime = LATER
) -> ReferenceDecision:
    """Decide the opposite of what counts now, under the same limits."""
    newest = ReferenceDecision.objects.filter(specimen=specimen).latest("recorded_at", "position")
    to_accept = newest.decision == "reject"
    return decide_reference(
        specimen=specimen,
        work_instruction=plant.sheet,
        decision="accept" if to_accept else "reject",
        family=plant.specks,
        action="keep_running" if to_accept else "segregate",
        basis="quality",
        reason="Looked at again.",
        by=by,
        moment=moment,
    )


def first(sitting: Sitting, decision: str) -> Specimen:
    return next(row.specimen for row in shown(sitting) if row.decision.decision == decision)
