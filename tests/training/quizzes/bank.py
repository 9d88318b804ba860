"""A bank of specimens in the database, for the tests of sittings."""

import datetime as dt
import hashlib
import uuid
from collections.abc import Sequence
from decimal import Decimal
from types import SimpleNamespace

from training.floor.models import Family
from training.people.record.chain import append
from training.quizzes.models import Presented
from training.quizzes.services.judging import Given
from training.specimens.models import (
    Frame,
    PartCopy,
    Pool,
    ReferenceDecision,
    Region,
    Specimen,
    View,
)

REGION = [[500, 400], [560, 400], [560, 450], [500, 450]]
IN_PLACE, ELSEWHERE = (530, 425), (100, 100)
RATIOS = {
    True: ("1.1", "1.2", "1.4", "1.7", "1.9", "2.5", "3.0"),
    False: ("0.6", "0.7", "0.85", None),
}


def fill(
    plant: SimpleNamespace,
    family: Family,
    *,
    bad: int,
    good: int,
    moment: dt.datetime,
    pool: str = Pool.EXAM,
    pictured: bool = True,
) -> list[Specimen]:
    """Put specimens of a family into the bank, with one view, one frame and a decision each."""
    made = [
        _specimen(plant, family, is_bad, place, pool, moment)
        for is_bad, count in ((True, bad), (False, good))
        for place in range(count)
    ]
    Specimen.objects.bulk_create([row for row, _bad, _ratio in made])
    if pictured:
        _picture([(row, is_bad) for row, is_bad, _ratio in made], family)
    else:
        PartCopy.objects.bulk_create(
            PartCopy(specimen=row, letter="A", place="cabinet 1", registered_day=moment.date())
            for row, _bad, _ratio in made
        )
    append(
        *(
            ReferenceDecision(
                specimen=row,
                work_instruction=plant.sheet,
                decision="reject" if is_bad else "accept",
                family=family if is_bad else None,
                action="segregate" if is_bad else "keep_running",
                basis="measured",
                severity_ratio=ratio,
                clear=is_bad and ratio is not None and ratio >= Decimal("1.5"),
            )
            for row, is_bad, ratio in made
        ),
        moment=moment,
    )
    return [row for row, _bad, _ratio in made]


def _specimen(
    plant: SimpleNamespace, family: Family, is_bad: bool, place: int, pool: str, moment: dt.datetime
) -> tuple[Specimen, bool, Decimal | None]:
    ratio = RATIOS[is_bad][place % len(RATIOS[is_bad])]
    exact = None if ratio is None else Decimal(ratio)
    number = f"{family.slug[:6]}-{pool[:2]}-{'b' if is_bad else 'g'}{place:03d}"
    row = Specimen(
        # The order of a draw rests on seed and identifier: both are fixed, so every run draws alike.
        pk=uuid.uuid5(uuid.NAMESPACE_OID, f"{number} after {Specimen.objects.count()}"),
        number=number,
        job=plant.job,
        zone="A",
        family=family,
        severity=None if exact is None else exact * Decimal("0.3"),
        unit="mm",
        pool=pool,
        synthetic=True,
        created_at=moment,
    )
    return row, is_bad, exact


def _picture(rows: Sequence[tuple[Specimen, bool]], family: Family) -> None:
    views = [View(specimen=row, px_per_mm=Decimal("4.5")) for row, _bad in rows]
    View.objects.bulk_create(views)
    Frame.objects.bulk_create(
        Frame(
            view=view,
            file=f"{view.pk.hex}.webp",
            width=1200,
            height=900,
            sha256=hashlib.sha256(view.pk.bytes).hexdigest(),
        )
        for view in views
    )
    Region.objects.bulk_create(
        Region(view=view, family=family, polygons=[REGION])
        for view, (_row, is_bad) in zip(views, rows, strict=True)
        if is_bad
    )


def right_answer(presented: Presented, moment: dt.datetime, **other: object) -> Given:
    """Return the answer that is right for a presented specimen, changed as asked."""
    values: dict[str, object] = {
        "judgement_id": uuid.uuid4(),
        "ordinal": presented.ordinal,
        "answer": presented.decision.decision,
        "judging_ms": 6000,
        "answered_at": moment,
    }
    if presented.decision.decision == "reject":
        values |= {
            "place": IN_PLACE,
            "family": presented.specimen.family.slug,
            "action": "segregate",
        }
    return Given(**{**values, **other})  # type: ignore[arg-type]


def wrong_answer(presented: Presented, moment: dt.datetime) -> Given:
    """Return the answer that is wrong for a presented specimen."""
    if presented.decision.decision == "reject":
        return right_answer(presented, moment, answer="accept", place=None, family="", action="")
    return Given(
        judgement_id=uuid.uuid4(),
        ordinal=presented.ordinal,
        answer="reject",
        judging_ms=6000,
        answered_at=moment,
        place=IN_PLACE,
        family=presented.specimen.family.slug,
        action="segregate",
    )
