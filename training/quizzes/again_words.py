"""Why somebody may not be examined again yet, and what several tries make of the plan's risks."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.utils.dateformat import format as format_date
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext, pgettext

from training.quizzes.plan_words import percent
from training.quizzes.risks import Scope, risks_of
from training.quizzes.trying_again import WITHIN_DAYS, Hold
from training.quizzes.worked_plan import WorkedPlan
from training.statistics.sampling_plan import repeated_risk

# How many tries the table goes up to.
TRIES_SHOWN = 3
PASSES = {
    Scope.GROUP_PASSES: gettext_noop("misses %(rate)s of everything, and the group passes"),
    Scope.FAMILY_PASSES: gettext_noop("misses %(rate)s of one family, and it is certified"),
    Scope.BLOCK_PASSES: gettext_noop("misses %(rate)s of clear parts, and the block passes"),
}
ANY_PASSES = gettext_noop("misses %(rate)s and passes")


def written_day(day: dt.date) -> str:
    """Write 24 Nov 2026."""
    return format_date(day, pgettext("pattern of a day with its year", "j M Y"))


@dataclass(frozen=True, slots=True)
class HoldWords:
    """What one exam leaves to do, in sentences; `coach` asks for a coaching record of that exam."""

    sitting: UUID
    number: str
    lines: tuple[str, ...]
    coach: bool


def hold_words(holds: Iterable[Hold], names: Mapping[str, str]) -> list[HoldWords]:
    """Say what stands in the way of another try, families of one exam together.

    `names` are those of the families, by slug.
    """
    alike: dict[tuple[object, ...], list[Hold]] = defaultdict(list)
    for hold in holds:
        if hold.stops:
            alike[hold.last.sitting, hold.coaching, hold.release, hold.until].append(hold)
    return [_words(each, names) for each in alike.values()]


def _words(holds: list[Hold], names: Mapping[str, str]) -> HoldWords:
    first = holds[0]
    said = {
        "families": ", ".join(names.get(hold.family, hold.family) for hold in holds),
        "number": first.last.number,
        "day": written_day(first.last.day),
    }
    lines = []
    if first.coaching:
        lines.append(
            _("%(families)s: exam %(number)s of %(day)s was not passed, and no coaching since.")
            % said
        )
    if first.until is not None:
        lines.append(
            _("%(families)s: the next try is on %(until)s at the earliest.")
            % {**said, "until": written_day(first.until)}
        )
    if first.release:
        lines.append(
            ngettext(
                "%(families)s: %(n)d exam not passed within %(within)d days. Quality signs the "
                "coaching before another.",
                "%(families)s: %(n)d exams not passed within %(within)d days. Quality signs the "
                "coaching before another.",
                first.failed,
            )
            % {**said, "n": first.failed, "within": WITHIN_DAYS}
        )
    return HoldWords(
        first.last.sitting, first.last.number, tuple(lines), first.coaching or first.release
    )


@dataclass(frozen=True, slots=True)
class TriesRow:
    """A risk as people of a hundred, after one try, two, three."""

    words: str
    after: tuple[str, ...]


def tries_rows(plan: WorkedPlan) -> list[TriesRow]:
    """Return what one, two and three tries make of the risks of passing.

    Exact for tries that are independent and at the same true rate, which is what other specimens
    and nothing learned come to.
    """
    return [
        TriesRow(
            _(PASSES.get(risk.scope, ANY_PASSES)) % {"rate": percent(risk.rate)},
            tuple(
                number_format(round(100 * repeated_risk(risk.probability, n), 1), 1)
                for n in range(1, TRIES_SHOWN + 1)
            ),
        )
        for risk in risks_of(plan)
        if risk.twice is not None
    ]


def try_words(number: int, most: int) -> str:
    """Say which try the next exam is."""
    return _("Try %(n)d of %(most)d within %(within)d days.") % {
        "n": number,
        "most": most,
        "within": WITHIN_DAYS,
    }
