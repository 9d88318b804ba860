"""Questions about standing that several pages ask, answered from the database."""

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import get_language

from certification.certificates.facts import job_facts, person_facts, rules_in_force
from certification.certificates.standing import Answer, Asked, Verdict, explain
from certification.certificates.wording import (
    Language,
    Names,
    buddy_bar_text,
    ending_text,
    reason_text,
    remedy_text,
    verdict_text,
)
from training.floor.models import Caution, Family, Job
from training.floor.selectors import today_at_the_plant
from training.people.models import Authorisation, Crew, Person

__all__ = [
    "AUTHORISATION_NAMES",
    "Explained",
    "Shift",
    "asked_at",
    "in_words",
    "language_now",
    "may_run",
    "names",
    "shift_at",
    "shift_for",
    "shift_on",
    "today_at_the_plant",
]


def language_now() -> Language:
    """Return the language of the page being made, as the wording wants it."""
    return "es" if (get_language() or "en").startswith("es") else "en"


def names() -> Names:
    """Return the names that reasons are printed with. Costs three queries.

    A job group is called by its jobs, because its code says nothing at the press.
    """
    groups: dict[str, list[str]] = defaultdict(list)
    for code, number in Job.objects.order_by("number").values_list("group__code", "number"):
        groups[code].append(number)
    return Names(
        families={family.slug: family.short for family in Family.objects.all()},
        job_groups={code: {"en": "/".join(numbers)} for code, numbers in groups.items()},
        cautions={caution.code: caution.title for caution in Caution.objects.all()},
        authorisations={
            kind: AUTHORISATION_NAMES.get(kind, {"en": kind}) for kind in Authorisation.Kind.values
        },
    )


AUTHORISATION_NAMES = {
    "site_safety": {"en": "site safety course", "es": "curso de seguridad de planta"},
    "cutter": {"en": "gate cutter", "es": "cortador de colada"},
    "insert": {"en": "loading inserts", "es": "carga de insertos"},
    "lift": {"en": "lifting boxes", "es": "levantar cajas"},
}


@dataclass(frozen=True)
class Shift:
    """One shift of a crew: its plant day, first and last moment."""

    crew: Crew
    day: dt.date
    starts: dt.datetime
    ends: dt.datetime


def shift_on(crew: Crew, day: dt.date) -> Shift:
    """Return the crew's shift that begins on the plant day; a night ends on the next day."""
    zone = timezone.get_default_timezone()
    starts = dt.datetime.combine(day, crew.starts, zone)
    ends_day = day if crew.ends > crew.starts else day + dt.timedelta(days=1)
    return Shift(crew, day, starts, dt.datetime.combine(ends_day, crew.ends, zone))


def shift_for(crew: Crew, moment: dt.datetime) -> Shift:
    """Return the crew's shift that runs at the moment, or else its next one."""
    shift = shift_on(crew, today_at_the_plant(moment))
    if shift.ends <= moment:
        shift = shift_on(crew, shift.day + dt.timedelta(days=1))
    return shift


def shift_at(moment: dt.datetime) -> Shift | None:
    """Return the shift that runs at the moment. Costs one query."""
    day = today_at_the_plant(moment)
    for crew in Crew.objects.all():
        for begun in (day, day - dt.timedelta(days=1)):
            shift = shift_on(crew, begun)
            if shift.starts <= moment < shift.ends:
                return shift
    return None


def asked_at(moment: dt.datetime, ends: dt.datetime | None = None) -> Asked:
    """Return the question for a turn that begins at the moment, in the plant's time zone."""
    return Asked.at(moment, timezone.get_default_timezone(), ends=ends)


def may_run(person: Person, job: Job, asked: Asked) -> Answer:
    """Ask the one question: may this person run this job then? A fixed number of queries."""
    people, jobs = person_facts([person]), job_facts([job])
    return explain(people[person.pk], jobs[job.pk], rules_in_force(asked.day), asked)


@dataclass(frozen=True)
class Explained:
    """An answer in words: the verdict, each reason with its remedy, what keeps a buddy away."""

    verdict: Verdict
    word: str
    reasons: tuple[tuple[str, str], ...]
    bars: tuple[str, ...]
    ending: tuple[str, ...]


def in_words(answer: Answer, *, day: dt.date, known: Names, language: Language) -> Explained:
    """Put an answer into sentences of one language."""
    return Explained(
        verdict=answer.verdict,
        word=verdict_text(answer.verdict, language),
        reasons=tuple(
            (
                reason_text(reason, language, today=day, names=known),
                remedy_text(reason, language, names=known),
            )
            for reason in answer.reasons
        ),
        bars=tuple(buddy_bar_text(bar, language, names=known) for bar in answer.buddy_bars),
        ending=tuple(ending_text(reason, language, names=known) for reason in answer.ends_during),
    )
