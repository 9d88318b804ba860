"""One person's exam in the invented plant: opened, and answered as a model of the eye says.

An operator misses a bad part with the probability of a psychometric function of severity ÷ limit, so
the hardest parts are missed first; how many were missed in each sitting is told by the plant's files.
"""

import datetime as dt
import math
import random
import uuid
from collections.abc import Iterable

from media_demo.plant.build import Plant
from media_demo.plant.eyes import LAPSE, Eye
from training.quizzes.models import Action, ExamPlan, Kind, Presented, Sitting
from training.quizzes.services.judging import Given, record_judgements
from training.quizzes.services.opening import open_qualification
from training.specimens.models import ReferenceDecision

ACCEPT, REJECT = ReferenceDecision.Decision.ACCEPT, ReferenceDecision.Decision.REJECT
MEDIAN_S, LOG_SD = 11.0, 0.45
# Told by the files in words only: of Yusra Haddadin's five misses four were burns.
MISSED_IN = {"S-0052": {"burn": 4, "black-specks": 1}}


def sit(
    plant: Plant, row: dict[str, str], plan: ExamPlan, moment: dt.datetime
) -> tuple[Sitting, dt.datetime]:
    """Open the exam of a row and answer all of it; return it and when it ended."""
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
    return sitting, ended


def _answers(
    sitting: Sitting, row: dict[str, str], chance: random.Random, moment: dt.datetime
) -> list[Given]:
    shown = list(
        Presented.objects.filter(sitting=sitting)
        .select_related("decision", "specimen__family")
        .order_by("ordinal")
    )
    wrong = _missed(shown, row, chance) | _refused(shown, int(row["false_rejects"]), chance)
    if row.get("critical_missed"):
        clear = [item.ordinal for item in shown if item.part == "critical"]
        wrong |= set(chance.sample(clear, int(row["critical_missed"])))
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
