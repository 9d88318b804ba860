"""Plays the invented plant's sittings through the real services, in the order they were sat."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from certification.certificates.services import grant_from_sitting
from media_demo.plant.agreement import load_studies
from media_demo.plant.build import Plant
from media_demo.plant.coached import coach_before
from media_demo.plant.intake import play_intake
from media_demo.plant.open_ends import leave_open, score_again
from media_demo.plant.read import rows
from media_demo.plant.sitting import sit
from training.quizzes.models import ExamPlan, SittingEnd
from training.quizzes.services.plans import (
    GROUP,
    LIGHT_BOOTH,
    REQUALIFICATION,
    SHORT_BANK,
    ensure_default_plans,
)

PLANS = {"group plan": GROUP, "light booth": LIGHT_BOOTH, "requalification": REQUALIFICATION}
STARTS = "08:30"


@dataclass(frozen=True)
class Played:
    """A sitting of the files as it was played."""

    number: str
    missed: int
    false_rejects: int
    result: str
    certificates: int


def play_sittings(plant: Plant, progress: Callable[[int, int], None]) -> list[Played]:
    """Play every sitting in the order of its day, writing what happened before it first."""
    ensure_default_plans(day=plant.calendar.day(-57), published_by=plant.people["1042"])
    plans = {plan.code: plan for plan in ExamPlan.objects.all()}
    play_intake(plant, plans[SHORT_BANK])
    todo = sorted(rows("sittings_to_simulate"), key=lambda row: (int(row["day"]), row["sitting"]))
    played = []
    for place, row in enumerate(todo, start=1):
        moment = plant.calendar.moment(row["day"], STARTS) + dt.timedelta(minutes=2 * place)
        coach_before(plant, moment)
        plant.ledger.write_until(moment)
        played.append(_play(plant, row, plans[PLANS[row["kind"]]], moment))
        progress(place, len(todo))
    leave_open(plant, {kind: plans[code] for kind, code in PLANS.items()})
    score_again(plant)
    plant.ledger.write_all()
    load_studies(plant)
    return played


def _play(plant: Plant, row: dict[str, str], plan: ExamPlan, moment: dt.datetime) -> Played:
    sitting, ended = sit(plant, row, plan, moment)
    end = SittingEnd.objects.get(sitting=sitting)
    certificates = 0
    if end.result == SittingEnd.Result.PASSED:
        grant = grant_from_sitting(
            sitting=sitting,
            decided_by=plant.people[row["decider"]],
            moment=ended + dt.timedelta(minutes=40),
        )
        certificates = len(grant.certificates)
    return Played(
        sitting.number, int(row["missed"]), int(row["false_rejects"]), end.result, certificates
    )
