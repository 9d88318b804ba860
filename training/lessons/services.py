"""Publishing lessons as revisions, and recording who read them."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.lessons.content import SECTIONS
from training.lessons.models import LessonExample, LessonRevision, Reading
from training.people.models import ChainHead, Person
from training.people.record.chain import append
from training.people.record.models import PLANT
from training.people.texts import validate_text
from training.specimens.models import Pool, Specimen
from training.specimens.services.pools import mark_answer_shown


@dataclass(frozen=True, slots=True)
class Example:
    """A specimen of the teaching pool that illustrates a lesson, with its role and caption."""

    specimen: Specimen
    role: str
    caption: dict[str, str] | None = None


@transaction.atomic
def publish_lesson(
    *,
    family: Family,
    day: dt.date,
    title: dict[str, str],
    one_liner: dict[str, str],
    sections: Mapping[str, dict[str, str]],
    published_by: Person | None = None,
    revision: str = "",
    examples: Sequence[Example] = (),
    moment: dt.datetime | None = None,
    reviewed: Mapping[str, Any] | None = None,
) -> LessonRevision:
    """Publish a revision of a family's lesson; the newest one is the one read.

    Without `revision` the next number is taken. Without `examples` the page shows what the teaching
    pool holds; with them it needs the `moment` from which on they examine nobody any more.

    Raises
    ------
    ValidationError
        For an unknown section, a text without words, an older day than the newest revision's, or a
        picture that does not belong to the teaching pool.
    """
    _check_sections(sections)
    newer = LessonRevision.objects.filter(family=family, day__gt=day).order_by("-day").first()
    if newer is not None:
        raise ValidationError(
            {
                "day": _("Revision %(revision)s of %(day)s is already published.")
                % {"revision": newer.revision, "day": newer.day}
            }
        )
    if examples and moment is None:
        raise ValidationError({"examples": _("Examples need the moment they are shown from.")})
    lesson = LessonRevision(
        family=family,
        revision=revision or str(LessonRevision.objects.filter(family=family).count() + 1),
        day=day,
        title=title,
        one_liner=one_liner,
        sections=dict(sections),
        published_by=published_by,
        reviewed=dict(reviewed or {}),
    )
    lesson.full_clean(exclude=["published_by"])
    lesson.save()
    if examples and moment is not None:
        _add_examples(lesson, examples, moment)
    return lesson


def _check_sections(sections: Mapping[str, dict[str, str]]) -> None:
    for code, text in sections.items():
        if code not in SECTIONS:
            raise ValidationError(
                {
                    "sections": _("A lesson has no section %(code)s; it has %(known)s.")
                    % {"code": code, "known": ", ".join(SECTIONS)}
                }
            )
        validate_text(text)


def _add_examples(lesson: LessonRevision, examples: Sequence[Example], moment: dt.datetime) -> None:
    for example in examples:
        if example.specimen.pool != Pool.TEACHING:
            raise ValidationError(
                {
                    "examples": _("Specimen %(number)s is not in the teaching pool.")
                    % {"number": example.specimen.number}
                }
            )
    LessonExample.objects.bulk_create(
        LessonExample(
            lesson=lesson,
            specimen=example.specimen,
            role=example.role,
            caption=example.caption,
            position=place,
        )
        for place, example in enumerate(examples)
    )
    mark_answer_shown(specimens=[each.specimen.pk for each in examples], moment=moment)


@transaction.atomic
def record_reading(
    *, person: Person, lesson: LessonRevision, language: str, moment: dt.datetime
) -> Reading:
    """Write that somebody read a revision; once a day is enough, again gives the same reading."""
    day = timezone.localdate(moment)
    ChainHead.objects.select_for_update().filter(name=PLANT).first()
    known = Reading.objects.filter(person=person, lesson=lesson, day=day).first()
    if known is not None:
        return known
    reading = Reading(
        person=person,
        family=lesson.family,
        lesson=lesson,
        day=day,
        read_at=moment,
        language=language,
        recorded_by=person,
    )
    append(reading, moment=moment)
    return reading
