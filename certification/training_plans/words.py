"""What each step on the way to a press is called, and what to do about it."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from certification.certificates.wording import Language, Names, reason_text, remedy_text
from certification.training_plans.selectors import Way
from certification.training_plans.steps import Kind, State, Step
from training.people.texts import in_language

MOST_NAMES = 4


@dataclass(frozen=True, slots=True)
class StepWords:
    """One step in words; `state` is also the key of its shape."""

    kind: Kind
    state: State
    title: str
    detail: str
    families: tuple[str, ...] = ()


def way_words(way: Way, names: Names, language: Language, today: dt.date) -> list[StepWords]:
    """Return the steps of a way in words."""
    return [
        StepWords(
            kind=step.kind,
            state=step.state,
            title=_title(step, way.job.number),
            detail=_detail(step, names, language, today),
            families=step.families,
        )
        for step in way.steps
    ]


def listed(slugs: Sequence[str], families: Mapping[str, Mapping[str, str]], language: str) -> str:
    """Write the first names and how many more there are."""
    names = [in_language(families.get(slug), language) or slug for slug in slugs]
    if len(names) <= MOST_NAMES:
        return ", ".join(names)
    more = len(names) - MOST_NAMES
    return ngettext("%(names)s and %(n)d more", "%(names)s and %(n)d more", more) % {
        "names": ", ".join(names[:MOST_NAMES]),
        "n": more,
    }


def _title(step: Step, job: str) -> str:
    number = len(step.families)
    if step.kind is Kind.LESSON and number:
        return ngettext("Read %(n)d lesson", "Read %(n)d lessons", number) % {"n": number}
    if step.kind is Kind.PRACTICE and number:
        return ngettext("Practise %(n)d family", "Practise %(n)d families", number) % {"n": number}
    if step.kind is Kind.SITTING and number:
        return ngettext("Sit %(n)d family", "Sit %(n)d families", number) % {"n": number}
    if step.kind is Kind.BUDDY and step.subject:
        return _("Run %(job)s beside %(name)s") % {"job": job, "name": step.subject}
    return {
        Kind.SAFETY: _("Site safety course"),
        Kind.VISION: _("Eye check"),
        Kind.LESSON: _("Lessons read"),
        Kind.PRACTICE: _("Practised"),
        Kind.SITTING: _("Exams"),
        Kind.DECISION: _("Passed, waiting for a decision"),
        Kind.REQUALIFY: _("Requalification %(order)s") % {"order": step.subject},
        Kind.READING: _("Papers of job %(job)s") % {"job": job},
        Kind.AUTHORISATION: _("Authorisations"),
        Kind.BUDDY: _("Run %(job)s beside a named buddy") % {"job": job},
        Kind.OBSERVED_CHECK: _("Observed check at the press"),
        Kind.REFRESHER: _("Refresher at the press"),
        Kind.ALONE: _("Run %(job)s alone") % {"job": job},
    }[step.kind]


def _detail(step: Step, names: Names, language: Language, today: dt.date) -> str:
    """Say what is left of a step, and who does it; nothing where it is done."""
    if step.state is State.DONE:
        return ""
    said = [listed(step.families, names.families, language)]
    if step.kind is Kind.SITTING:
        said = [f"{said[0]}.", _("A trainer or quality opens the exam for you.")]
    elif step.kind is Kind.SAFETY:
        said = [_("Ask your trainer: it comes before the floor.")]
    elif step.kind is Kind.READING:
        said = [reason_text(each, language, today=today, names=names) for each in step.reasons]
    elif step.reasons:
        kinds = [in_language(names.authorisations.get(r.subject), language) for r in step.reasons]
        remedy = remedy_text(step.reasons[0], language, names=names)
        held = step.kind is Kind.AUTHORISATION
        named = ", ".join(kinds)
        said = [f"{named[:1].upper()}{named[1:]}.", remedy] if held else [remedy]
    return " ".join(said)
