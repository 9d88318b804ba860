"""What quality finds on its desk in the invented plant: an exam to decide about, one scored again."""

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal

from django.db.models import Count

from media_demo.plant.build import Plant
from media_demo.plant.read import rows
from media_demo.plant.sitting import ACCEPT, sit
from training.quizzes.models import ExamPlan, Presented, ScoreCorrection, Sitting
from training.quizzes.scoring import Part
from training.quizzes.services.rescoring import rescore
from training.specimens.services.deciding import decide_reference


def leave_open(plant: Plant, plans: Mapping[str, ExamPlan]) -> list[Sitting]:
    """Play the exams that nobody has decided about yet; `plans` by the kinds of the files."""
    found = []
    for row in rows("sittings_waiting"):
        moment = plant.calendar.moment(row["day"], row["start"])
        plant.ledger.write_until(moment)
        sitting, _ended = sit(plant, row, plans[row["kind"]], moment)
        found.append(sitting)
    return found


def score_again(plant: Plant) -> list[ScoreCorrection]:
    """Turn a decision for each row of the file, and score an exam again that rests on it."""
    found: list[ScoreCorrection] = []
    for row in rows("decisions_turned"):
        decided = plant.calendar.moment(row["day"], row["start"])
        scored = decided + dt.timedelta(minutes=int(row["minutes_to_score"]))
        shown = _missed_in(row["sitting"])
        plant.ledger.write_until(decided)
        decide_reference(
            specimen=shown.specimen,
            work_instruction=shown.work_instruction,
            general=shown.decision.general,
            decision=ACCEPT,
            action="keep_running",
            basis=row["basis"],
            severity_ratio=Decimal(row["severity_ratio"]),
            reason=row["reason"],
            by=plant.people[row["by"]],
            moment=decided,
        )
        plant.ledger.write_until(scored)
        by = plant.people[row["scored_by"]]
        found += rescore(sitting=shown.sitting, by=by, moment=scored, words=row["words"])
    return found


def _missed_in(number: str) -> Presented:
    """Return the first missed part of an exam, the one that the fewest other exams showed."""
    missed = Presented.objects.filter(
        sitting__number=number, part=Part.BAD, judgement__answer=ACCEPT
    ).annotate(shown=Count("specimen__presented", distinct=True))
    return missed.select_related(
        "sitting__end", "specimen", "work_instruction", "decision__general"
    ).order_by("shown", "ordinal")[0]
