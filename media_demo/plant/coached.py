"""Coaching in the invented plant: what was gone through after an exam that was not passed."""

import datetime as dt

from media_demo.plant.build import Plant
from media_demo.plant.read import rows
from training.quizzes.models import Sitting
from training.quizzes.services.coaching import record_coaching


def coach_before(plant: Plant, moment: dt.datetime) -> int:
    """Record the coachings that lie before a moment and are not recorded yet; return how many."""
    recorded = 0
    for row in rows("coachings"):
        ended = plant.calendar.moment(row["day"], row["start"])
        sitting = Sitting.objects.filter(number=row["sitting"], coachings=None).first()
        if sitting is None or ended >= moment:
            continue
        plant.ledger.write_until(ended)
        record_coaching(
            sitting=sitting,
            families=row["families"].split(),
            coach=plant.people[row["coach"]],
            day=plant.calendar.day(row["day"]),
            minutes=int(row["minutes"]),
            words=row["words"],
            signature_method="password",
            moment=ended,
        )
        recorded += 1
    return recorded
