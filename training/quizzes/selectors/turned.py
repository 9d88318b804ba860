"""Ended exams and the decisions they rest on: which were turned since, and what was scored again."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from django.db.models import F, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from training.quizzes.kinds import EXAMS
from training.quizzes.models import Presented, ScoreCorrection, Sitting, SittingEnd
from training.specimens.models import ReferenceDecision


class Bearing(StrEnum):
    """How an ended exam stands to a specimen's decision."""

    # Presented under a decision that still holds, or under limits that have moved since.
    HOLDS = "holds"
    TURNED = "turned"
    SCORED_AGAIN = "scored_again"


@dataclass(frozen=True)
class Resting:
    """One ended exam that presented a specimen; `counted` is what it counts as today."""

    sitting: Sitting
    counted: ScoreCorrection | SittingEnd
    presented: Presented
    answer: str
    bearing: Bearing
    turned_by: ReferenceDecision | None


def resting_on(specimen: UUID) -> list[Resting]:
    """Return the ended exams that presented a specimen, those to be scored again first.

    Costs four queries.
    """
    rows = _presented(Presented.objects.filter(specimen=specimen))
    return _resting(rows, [specimen])


def pending_of(sitting: Sitting) -> list[ReferenceDecision]:
    """Return the decisions that turned what an exam presented and it was not scored by yet.

    Costs four queries.
    """
    rows = _presented(Presented.objects.filter(sitting=sitting))
    found = _resting(rows, [row.specimen_id for row in rows])
    return [
        each.turned_by
        for each in found
        if each.bearing is Bearing.TURNED and each.turned_by is not None
    ]


def to_score_again() -> list[Sitting]:
    """Return the ended exams that rest on a turned decision, newest first. Costs five queries."""
    turned = ReferenceDecision.objects.exclude(corrects=None).exclude(
        decision=F("corrects__decision")
    )
    specimens = list(turned.values_list("specimen", flat=True).distinct())
    if not specimens:
        return []
    rows = _presented(Presented.objects.filter(specimen__in=specimens))
    found = {
        each.sitting.pk: each.sitting
        for each in _resting(rows, specimens)
        if each.bearing is Bearing.TURNED
    }
    return sorted(found.values(), key=lambda sitting: sitting.end.ended_at, reverse=True)


def _presented(found: QuerySet[Presented]) -> list[Presented]:
    ended = found.filter(sitting__kind__in=EXAMS, sitting__end__isnull=False).exclude(
        sitting__end__reason=SittingEnd.Reason.ABANDONED
    )
    return list(
        ended.select_related(
            "sitting__person", "sitting__end", "sitting__plan", "decision", "judgement", "specimen"
        ).order_by("-sitting__end__ended_at")
    )


def _resting(rows: Iterable[Presented], specimens: Sequence[UUID]) -> list[Resting]:
    rows = list(rows)
    decisions: dict[UUID, list[ReferenceDecision]] = defaultdict(list)
    for fact in (
        ReferenceDecision.objects.filter(specimen__in=specimens)
        .select_related("specimen", "recorded_by")
        .order_by("recorded_at", "position")
    ):
        decisions[fact.specimen_id].append(fact)
    because = set(
        ScoreCorrection.objects.filter(sitting__in={row.sitting_id for row in rows}).values_list(
            "sitting", "because"
        )
    )
    counted = counted_each(row.sitting.end for row in rows)
    found = [
        _row(row, counted[row.sitting_id], decisions[row.specimen_id], because) for row in rows
    ]
    order = (Bearing.TURNED, Bearing.SCORED_AGAIN, Bearing.HOLDS)
    return sorted(found, key=lambda each: order.index(each.bearing))


def _row(
    row: Presented,
    counted: ScoreCorrection | SittingEnd,
    facts: Sequence[ReferenceDecision],
    because: set[tuple[UUID, UUID]],
) -> Resting:
    later = newest_under(row, facts)
    applied = [fact for fact in facts if (row.sitting_id, fact.pk) in because]
    decided = applied[-1].decision if applied else row.decision.decision
    judgement = getattr(row, "judgement", None)
    answer = judgement.answer if judgement is not None and judgement.scored else ""
    bearing = Bearing.SCORED_AGAIN if applied else Bearing.HOLDS
    # What was never judged counts on neither side, whatever it is.
    if answer and later is not None and later.decision != decided:
        bearing = Bearing.TURNED
    return Resting(
        sitting=row.sitting,
        counted=counted,
        presented=row,
        answer=answer,
        bearing=bearing,
        turned_by=later if bearing is not Bearing.HOLDS else None,
    )


def newest_under(
    presented: Presented, facts: Iterable[ReferenceDecision]
) -> ReferenceDecision | None:
    """Return the newest decision under the limits a part was presented under, oldest facts first."""
    general = presented.decision.general_id
    same = [
        fact
        for fact in facts
        if fact.work_instruction_id == presented.decision.work_instruction_id
        and (general is None or fact.general_id == general)
    ]
    return same[-1] if same else None


def corrections_of(sitting: Sitting) -> list[ScoreCorrection]:
    """Return how an exam was scored again, oldest first. Costs one query."""
    return list(
        ScoreCorrection.objects.filter(sitting=sitting)
        .select_related("because__specimen", "recorded_by", "words")
        .order_by("recorded_at", "position")
    )


def counted_now(sitting: Sitting) -> ScoreCorrection | SittingEnd:
    """Return what an ended exam counts as today: its newest correction, else its end. One query."""
    return newest_correction(sitting) or sitting.end


def counted_at(sitting: Sitting, moment: dt.datetime) -> ScoreCorrection | SittingEnd:
    """Return what an ended exam counted as at a moment. One query."""
    until = ScoreCorrection.objects.filter(sitting=sitting, recorded_at__lte=moment)
    return until.order_by("-recorded_at", "-position").first() or sitting.end


def newest_correction(sitting: Sitting) -> ScoreCorrection | None:
    return (
        ScoreCorrection.objects.filter(sitting=sitting)
        .order_by("-recorded_at", "-position")
        .first()
    )


def newest_corrections(
    sittings: Iterable[UUID], until: dt.datetime | None = None
) -> dict[UUID, ScoreCorrection]:
    """Return the newest correction of each exam that has one, as known at a moment. One query."""
    facts = ScoreCorrection.objects.filter(sitting__in=list(sittings))
    if until is not None:
        facts = facts.filter(recorded_at__lte=until)
    # The last one written stands.
    return {fact.sitting_id: fact for fact in facts.order_by("recorded_at", "position")}


def counted_each(
    ends: Iterable[SittingEnd], until: dt.datetime | None = None
) -> dict[UUID, ScoreCorrection | SittingEnd]:
    """Return what each ended sitting counts as, by sitting: today, or as known at a moment. One query.

    Whoever asks how good a person or a plan is asks here; only the record of the day itself reads
    the end.
    """
    rows = {end.sitting_id: end for end in ends}
    return {**rows, **newest_corrections(rows, until)}


def counted_result() -> Coalesce:
    """Return, for a query of ended sittings, the result that each counts as today."""
    newest = ScoreCorrection.objects.filter(sitting=OuterRef("pk"))
    result = newest.order_by("-recorded_at", "-position").values("result")[:1]
    return Coalesce(Subquery(result), F("end__result"))


def decisions_counted(sittings: Iterable[UUID]) -> dict[tuple[UUID, UUID], ReferenceDecision]:
    """Return the later decisions that exams are counted under, by sitting and specimen. One query."""
    facts = ScoreCorrection.objects.filter(sitting__in=list(sittings)).select_related("because")
    return {
        (fact.sitting_id, fact.because.specimen_id): fact.because
        for fact in facts.order_by("recorded_at", "position")
    }
