"""What the pages of deciding show: sittings that wait, and what one of them was passed with."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from certification.certificates.count_ruler import draw_counts
from certification.certificates.evidence import Showing, Shown, Tally
from certification.certificates.evidence_words import (
    critical_words,
    family_words,
    panel_words,
    plan_words,
    share_words,
    shown_words,
)
from certification.certificates.facts import certificates_of, rules_in_force
from certification.certificates.granting import Prospect
from certification.certificates.selectors import language_now, today_at_the_plant
from certification.certificates.standing import FamilyStanding, family_standing
from certification.certificates.standing_facts import Level
from certification.certificates.waiting import Waiting
from certification.certificates.wording import standing_text
from training.floor.models import Family, FamilyGroup
from training.floor.models import Level as LevelChoice
from training.floor.paper_selectors import unsigned_concessions
from training.people.models import Person
from training.people.texts import in_language
from training.quizzes.models import Sitting
from training.quizzes.selectors.plans import plan_drafts

LEVELS = {"ordinary": Level.ORDINARY, "critical": Level.CRITICAL}


@dataclass(frozen=True)
class WaitingRow:
    """One waiting sitting in words."""

    sitting: Sitting
    exam: str
    pressing: str
    standing: FamilyStanding
    standing_text: str
    families: str
    critical: str
    misses: Tally
    false_rejects: Tally


@dataclass(frozen=True)
class PaperRow:
    """A paper that waits for its second signature: what it is, and who gave the first."""

    url: str
    name: str
    first: str


@dataclass(frozen=True)
class FamilyRow:
    """One examined family: what was missed, what it would give, and what the person has now.

    `held_back` says why less is given than was asked for, where it is.
    """

    name: str
    tally: Tally
    allowed: int | None
    level: str
    critical: bool
    held_back: str
    ends: dt.date | None
    standing: FamilyStanding
    standing_text: str


def family_names() -> dict[str, str]:
    """Return the short names of all families in the page's language. One query."""
    language = language_now()
    return {each.slug: in_language(each.short, language) for each in Family.objects.all()}


def exam_names() -> dict[str, str]:
    """Return the names of the groups of families in the page's language. One query."""
    language = language_now()
    return {each.code: in_language(each.name, language) for each in FamilyGroup.objects.all()}


def exam_name(sitting: Sitting, groups: Mapping[str, str]) -> str:
    """Return what an exam is called by: its groups."""
    return ", ".join(groups.get(code, code) for code in sitting.groups)


def papers_to_sign(day: dt.date, reader: Person) -> list[PaperRow]:
    """Return what waits for the reader's second signature. Four queries.

    Whoever signed first cannot sign again, so a paper is not listed for its own writer.
    """
    concessions = [
        PaperRow(
            url=reverse("floor:concession_detail", args=[each.pk]),
            name=_("Concession %(number)s, job %(job)s")
            % {"number": each.number, "job": each.job.number},
            first=each.signed_by.name,
        )
        for each in unsigned_concessions(day)
        if each.signed_by_id != reader.pk
    ]
    plans = [
        PaperRow(
            url=reverse("quizzes:plan_detail", args=[each.code]) + f"?revision={each.revision}",
            name=_("Exam plan %(name)s, revision %(n)d")
            % {"name": in_language(each.name, language_now()), "n": each.revision},
            first=each.written_by.name if each.written_by else "",
        )
        for each in plan_drafts()
        if each.written_by_id != reader.pk
    ]
    return concessions + plans


def waiting_context(rows: Sequence[Waiting], moment: dt.datetime) -> dict[str, Any]:
    """Return the context of the list of what waits."""
    families, groups = family_names(), exam_names()
    day, language = today_at_the_plant(moment), language_now()
    oldest = min((row.showing.end.ended_at for row in rows), default=None)
    return {
        "rows": [
            WaitingRow(
                sitting=row.sitting,
                exam=exam_name(row.sitting, groups),
                pressing=families.get(row.pressing, row.pressing),
                standing=row.standing,
                standing_text=standing_text(row.standing, language, today=day),
                families=_many(row.families),
                critical=", ".join(families.get(slug, slug) for slug in row.critical),
                misses=row.showing.misses,
                false_rejects=row.showing.false_rejects,
            )
            for row in rows
        ],
        "oldest": oldest,
        "rules_revision": rules_in_force(day).revision,
    }


def _many(families: Sequence[str]) -> str:
    return ngettext("%(n)d family", "%(n)d families", len(families)) % {"n": len(families)}


def decide_context(
    showing: Showing, shown: Shown, offered: Sequence[Prospect], moment: dt.datetime
) -> dict[str, Any]:
    """Return the context of the page that decides about one sitting. Five queries."""
    sitting = showing.sitting
    day, language = today_at_the_plant(moment), language_now()
    names, groups = family_names(), exam_names()
    rules, held = rules_in_force(day), certificates_of([sitting.person_id])[sitting.person_id]
    by_family = {each.family: each for each in offered}

    def row(slug: str) -> FamilyRow:
        prospect = by_family.get(slug)
        level = LEVELS[prospect.level] if prospect else Level.ORDINARY
        standing = family_standing(held, slug, level, day, rules)
        return FamilyRow(
            name=names.get(slug, slug),
            tally=showing.family(slug),
            allowed=showing.plan.family_misses_allowed.get(slug) if showing.fixed else None,
            level=str(LevelChoice(prospect.level).label) if prospect else "",
            critical=level is Level.CRITICAL,
            held_back=_held_back(showing, slug),
            ends=prospect.ends if prospect else None,
            standing=standing,
            standing_text=standing_text(standing, language, today=day),
        )

    return {
        "sitting": sitting,
        "end": showing.end,
        "exam": exam_name(sitting, groups),
        "plan": in_language(sitting.plan.name, language),
        "showing": showing,
        "rows": [row(slug) for slug in sitting.families],
        "ruler": group_ruler(showing),
        "plan_lines": _plan_lines(showing, by_family),
        "shown": shown_words(shown),
        "panel": panel_words(shown),
        "rules_revision": rules.revision,
    }


def _held_back(showing: Showing, slug: str) -> str:
    if slug in showing.sitting.critical_families and showing.said.critical_block_passed is False:
        return _("critical level was asked for; its clear parts were not all found")
    return ""


def _plan_lines(showing: Showing, families: Iterable[str]) -> list[str]:
    """Say what the plan tells apart, for the group, for one family alone, for the block."""
    first = next(iter(families), None) or showing.sitting.families[0]
    lines = [
        plan_words(showing),
        family_words(showing, first),
        critical_words(showing),
        share_words(showing),
    ]
    return [line for line in lines if line]


def group_ruler(showing: Showing) -> str:
    """Draw the misses of the whole group against what its plan allows; nothing without a group."""
    allowed, misses = showing.plan.misses_allowed, showing.misses
    if allowed is None or not misses.shown:
        return ""
    words = _("group: missed %(errors)d of %(shown)d") % {
        "errors": misses.errors,
        "shown": misses.shown,
    }
    return draw_counts(misses.errors, misses.shown, allowed, words)


def family_ruler(showing: Showing, slug: str) -> str:
    """Draw the misses of one family against its own plan; nothing where no number is fixed."""
    if not showing.fixed:
        return ""
    tally, allowed = showing.family(slug), showing.plan.family_misses_allowed[slug]
    words = _("missed %(errors)d of %(shown)d") % {"errors": tally.errors, "shown": tally.shown}
    return draw_counts(tally.errors, tally.shown, allowed, words)
