"""What a pool of specimens offers an agreement study, and who of its people met which before."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Subquery

from training.floor.models import Family
from training.people.models import Person
from training.quizzes.agreement.drawing import Offer
from training.quizzes.models import AgreementStudy, Judgement, Presented
from training.quizzes.plan_rules import AHEAD
from training.quizzes.selectors.bank import WITH_ANSWER
from training.specimens.models import Frame, ReferenceDecision, Specimen
from training.specimens.register import usable_parts

REJECT = ReferenceDecision.Decision.REJECT
PHYSICAL = AgreementStudy.Basis.PHYSICAL


@dataclass(frozen=True)
class Pooled:
    """What a pool offers a study: offers by key, the decision each rests on, and who is left out."""

    offers: tuple[Offer, ...]
    decisions: dict[str, tuple[uuid.UUID, str]]
    undecided: int


def pooled(
    *,
    pool: str,
    basis: str,
    families: Collection[Family],
    people: Iterable[Person],
    day: dt.date,
) -> Pooled:
    """Return the specimens that could be parts of a study on a day. Costs two queries.

    A study of pictures takes what is pictured; a study of real parts what has a usable copy
    and no picture, because the booth shows a picture where there is one.
    """
    specimens = Specimen.objects.kept().filter(pool=pool, family__in=families).with_decision(day)
    pictured = Exists(Frame.objects.filter(view__specimen=OuterRef("pk")))
    if basis == PHYSICAL:
        specimens = specimens.filter(~pictured, pk__in=usable_parts(day))
    else:
        specimens = specimens.filter(pictured)
    rows = list(specimens.select_related("family"))
    met, told = _met_by([person.pk for person in people])
    decided = [row for row in rows if row.decided and row.decision_id]
    return Pooled(
        offers=tuple(
            Offer(
                key=str(row.pk),
                family=row.family.slug,
                bad=row.decided == REJECT,
                ratio=None if row.decided_ratio is None else float(row.decided_ratio),
                met=len(met.get(row.pk, ())),
                told=len(told.get(row.pk, ())),
            )
            for row in decided
        ),
        decisions={
            str(row.pk): (row.decision_id, str(row.decided)) for row in decided if row.decision_id
        },
        undecided=len(rows) - len(decided),
    )


Shown = dict[uuid.UUID, set[uuid.UUID]]


def _met_by(people: Collection[uuid.UUID]) -> tuple[Shown, Shown]:
    """Return who of these people was shown each specimen, and who with its answer. One query.

    What was drawn and never handed out was not shown.
    """
    met: Shown = defaultdict(set)
    told: Shown = defaultdict(set)
    if not people:
        return met, told
    judged = (
        Judgement.objects.filter(sitting=OuterRef("sitting"))
        .order_by()
        .values("sitting")
        .annotate(n=Count("pk"))
        .values("n")
    )
    rows = (
        Presented.objects.filter(sitting__person__in=people)
        .annotate(judged=Subquery(judged))
        .values_list("specimen", "sitting__person", "sitting__kind", "ordinal", "judged")
    )
    for specimen, person, kind, ordinal, count in rows:
        if ordinal > (count or 0) + 1 + AHEAD:
            continue
        met[specimen].add(person)
        if kind in WITH_ANSWER:
            told[specimen].add(person)
    return met, told
