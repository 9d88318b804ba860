"""Plays the invented plant's sittings through the real services, with answers from a model.

An operator misses a bad part with the probability of a psychometric function of severity ÷ limit, so
the hardest parts are missed first; how many were missed in each sitting is told by the plant's files.
"""

import datetime as dt
import math
import random
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from certification.certificates.services import grant_from_sitting
from media_demo.plant.agreement import load_studies
from media_demo.plant.build import Plant
from media_demo.plant.coached import coach_before
from media_demo.plant.eyes import LAPSE, Eye
from media_demo.plant.intake import play_intake
from media_demo.plant.read import rows
from training.quizzes.models import Action, ExamPlan, Kind, Presented, Sitting, SittingEnd
from training.quizzes.services.judging import Given, record_judgements
from training.quizzes.services.opening import open_qualification
from training.quizzes.services.plans import (
    GROUP,
    LIGHT_BOOTH,
    REQUALIFICATION,
    SHORT_BANK,
    ensure_default_plans,
)
from training.specimens.models import ReferenceDecision

ACCEPT, REJECT = ReferenceDecision.Decision.ACCEPT, ReferenceDecision.Decision.REJECT
PLANS = {"group plan": GROUP, "light booth": LIGHT_BOOTH, "requalification": REQUALIFICATION}
STARTS = "08:30"
MEDIAN_S, LOG_SD = 11.0, 0.45
# Told by the files in words only: of Yusra Haddadin's five misses four were burns.
MISSED_IN = {"S-0052": {"burn": 4, "black-specks": 1}}


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
    plant.ledger.write_all()
    load_studies(plant)
    return played


def _play(plant: Plant, row: dict[str, str], plan: ExamPlan, moment: dt.datetime) -> Played:
    chance = random.Random(row["sitting"])  # noqa: S311 - a simulation that must repeat
    critical = row["critical_families"].split()
    sitting = open_qualification(
        person=plant.people[row["person"]],
        families=[plant.floor.families[slug] for slug in row["families"].split()],
        critical=[plant.floor.families[slug] for slug in critical],
        plan=plan,
        invigilator=plant.people[row["invigilator"]],
        signature_method="password",
        moment=moment,
        kind=Kind.REQUALIFICATION if row["kind"] == "requalification" else Kind.QUALIFICATION,
        pictured_only=False,
        limits_of=plant.calendar.today,
        seed=row["sitting"],
        number=row["sitting"],
    )
    answers = _answers(sitting, row, chance, moment)
    ended = answers[-1].answered_at + dt.timedelta(seconds=5)
    record_judgements(sitting=sitting, answers=answers, moment=ended)
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


def _answers(
    sitting: Sitting, row: dict[str, str], chance: random.Random, moment: dt.datetime
) -> list[Given]:
    shown = list(
        Presented.objects.filter(sitting=sitting)
        .select_related("decision", "specimen__family")
        .order_by("ordinal")
    )
    wrong = _missed(shown, row, chance) | _refused(shown, int(row["false_rejects"]), chance)
    given, clock = [], moment + dt.timedelta(seconds=20)
    for item in shown:
        seconds = max(2.1, MEDIAN_S * math.exp(chance.gauss(0, LOG_SD)))
        clock += dt.timedelta(seconds=seconds)
        bad = item.decision.decision == REJECT
        rejects = bad != (item.ordinal in wrong)
        given.append(
            Given(
                judgement_id=uuid.UUID(int=chance.getrandbits(128), version=4),
                ordinal=item.ordinal,
                answer=REJECT if rejects else ACCEPT,
                judging_ms=int(seconds * 1000),
                answered_at=clock,
                family=item.specimen.family.slug if rejects else "",
                action=(item.decision.action if bad else Action.SEGREGATE) if rejects else "",
            )
        )
    return given


def _missed(shown: Iterable[Presented], row: dict[str, str], chance: random.Random) -> set[int]:
    """Choose the missed parts by how likely each is to be missed; families that pass keep their one."""
    bad = [item for item in shown if item.decision.decision == REJECT and item.part == "bad"]
    told = MISSED_IN.get(row["sitting"])
    left = dict(told) if told else {}
    missed: set[int] = set()
    while len(missed) < int(row["missed"]):
        taken = {item.specimen.family.slug for item in bad if item.ordinal in missed}
        open_to = [
            item
            for item in bad
            if item.ordinal not in missed
            and (
                left.get(item.specimen.family.slug, 0)
                if told
                else item.specimen.family.slug not in taken
            )
        ]
        chosen = chance.choices(open_to, weights=[_miss_probability(item) for item in open_to])[0]
        missed.add(chosen.ordinal)
        if told:
            left[chosen.specimen.family.slug] -= 1
    return missed


def _miss_probability(item: Presented) -> float:
    ratio = item.decision.severity_ratio
    return 1 - Eye().rejects(None if ratio is None else float(ratio), bad=True)


def _refused(shown: Iterable[Presented], count: int, chance: random.Random) -> set[int]:
    """Choose the good parts that were rejected: those nearest to the limit first in likelihood."""
    good = [item for item in shown if item.decision.decision == ACCEPT]
    refused: set[int] = set()
    while len(refused) < count:
        open_to = [item for item in good if item.ordinal not in refused]
        weights = [
            1 - _miss_probability(item) if item.decision.severity_ratio else LAPSE
            for item in open_to
        ]
        refused.add(chance.choices(open_to, weights=weights)[0].ordinal)
    return refused
