"""The next steps of one person, gathered from the records."""

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from certification.certificates.facts import job_facts, person_facts, rules_in_force
from certification.certificates.models import Arrangement
from certification.certificates.selectors import asked_at, today_at_the_plant
from certification.certificates.standing import Asked, JobFacts, PersonFacts, Rules
from certification.certificates.waiting import Undecided, waiting_of
from certification.training_plans.steps import State, Step, Trail, steps_to
from training.floor.models import Job
from training.people.models import Person
from training.quizzes.models import Kind, Sitting


@dataclass(frozen=True)
class Way:
    """A person's way to one press: every step in order."""

    job: Job
    steps: tuple[Step, ...]

    @property
    def next(self) -> Step | None:
        """The first step that the person can take now."""
        return next((step for step in self.steps if step.state is State.OPEN), None)


def next_steps(person: Person, moment: dt.datetime) -> Way | None:
    """Return the way to the job that the person is being brought up to; None without one.

    That is the job of the newest arrangement that holds on the plant day. A fixed number of queries.
    """
    arrangements = arrangements_of(person, today_at_the_plant(moment))
    if not arrangements:
        return None
    job, asked = arrangements[-1].job, asked_at(moment)
    return way_to(
        job,
        person=person,
        known=person_facts([person])[person.pk],
        needs=job_facts([job])[job.pk],
        rules=rules_in_force(asked.day),
        asked=asked,
        arrangements=arrangements,
        undecided=waiting_of(person),
    )


def way_to(
    job: Job,
    *,
    person: Person,
    known: PersonFacts,
    needs: JobFacts,
    rules: Rules,
    asked: Asked,
    arrangements: list[Arrangement],
    undecided: list[Undecided],
) -> Way:
    """Return the way to one job from facts that are gathered already. One query more."""
    trail = Trail(
        practised=practised_by(person),
        undecided=frozenset(slug for each in undecided for slug in each.families),
        worked=any(work.job_group == needs.job_group for work in known.work_days),
        buddy=buddies_of(arrangements).get(job.pk, ""),
    )
    return Way(job, steps_to(known, needs, rules, asked, trail))


def arrangements_of(person: Person, day: dt.date) -> list[Arrangement]:
    """Return the person's standing arrangements on the day, oldest first. One query."""
    rows = Arrangement.objects.filter(
        person=person, from_day__lte=day, to_day__gte=day, corrections=None
    )
    return list(rows.select_related("job__group", "job__press", "buddy").order_by("from_day"))


def buddies_of(arrangements: list[Arrangement]) -> dict[UUID, str]:
    """Return the name of the buddy for each job that an arrangement names."""
    return {each.job_id: each.buddy.name for each in arrangements}


def practised_by(person: Person) -> frozenset[str]:
    """Return the families the person has had a practice round of. One query."""
    rounds = Sitting.objects.filter(person=person, kind=Kind.PRACTICE)
    return frozenset(
        slug for families in rounds.values_list("families", flat=True) for slug in families
    )
