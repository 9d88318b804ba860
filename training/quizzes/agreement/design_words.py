"""What the design of a study can tell, and what to think about before it is opened."""

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.quizzes.agreement.drawing import Chosen
from training.quizzes.agreement.precision import (
    EXAMPLE_KAPPA,
    USUAL_PARTS,
    USUAL_PEOPLE,
    USUAL_REPEATS,
    Precision,
)
from training.quizzes.agreement.words import percent, two_decimals


def precision_rows(found: Precision) -> list[tuple[str, str]]:
    """Return what a design can tell: what, and the sentence."""
    return [
        (
            _("Judgements"),
            _("%(each)d a person, %(all)d in all.")
            % {"each": found.parts * found.repeats, "all": found.judgements},
        ),
        (
            _("Effectiveness"),
            _(
                "%(count)d of %(of)d parts right every time would mean %(low)d to %(high)s; all of them "
                "right, at least %(best)s."
            )
            % {
                "count": found.effectiveness.count,
                "of": found.effectiveness.of,
                "low": round(found.effectiveness.interval.low * 100),
                "high": percent(found.effectiveness.interval.high),
                "best": percent(found.all_right.interval.low),
            },
        ),
        (
            _("Misses"),
            _(
                "None in %(of)d decisions on bad parts still allows up to %(high)s. To show at most 2 %% "
                "takes %(needed)d decisions without a miss."
            )
            % {
                "of": found.no_miss.of,
                "high": percent(found.no_miss.interval.high),
                "needed": found.decisions_for_misses,
            },
        ),
        (
            _("False alarms"),
            _("None in %(of)d decisions on good parts still allows up to %(high)s.")
            % {"of": found.no_alarm.of, "high": percent(found.no_alarm.interval.high)},
        ),
        (
            _("Kappa"),
            _("A kappa of %(kappa)s against the reference would lie between %(low)s and %(high)s.")
            % {
                "kappa": two_decimals(EXAMPLE_KAPPA),
                "low": two_decimals(found.kappa[0]),
                "high": two_decimals(found.kappa[1]),
            },
        ),
    ]


def usual_words() -> dict[str, Any]:
    return {"parts": USUAL_PARTS, "people": USUAL_PEOPLE, "repeats": USUAL_REPEATS}


def design_warnings(found: Precision, chosen: Chosen) -> list[str]:
    """Return what to think about before the study is opened, the gravest first."""
    said = []
    if chosen.told:
        said.append(
            ngettext(
                "Of %(n)d part somebody was shown the answer before: their answers on it are worth less.",
                "Of %(n)d parts somebody was shown the answer before: their answers on them are worth less.",
                chosen.told,
            )
            % {"n": chosen.told}
        )
    if found.small:
        said.append(
            _(
                "Smaller than the usual %(parts)d parts, %(people)d people and %(repeats)d rounds (common "
                "practice, from memory): its intervals are wide."
            )
            % usual_words()
        )
    if not found.can_accept:
        said.append(
            _("With so few parts even a faultless study does not show 90 %% effectiveness.") % {}
        )
    if chosen.near_found < chosen.near_wanted:
        said.append(
            _("Near the limit the pool holds %(found)d of the %(wanted)d parts wanted.")
            % {"found": chosen.near_found, "wanted": chosen.near_wanted}
        )
    seen = chosen.met - chosen.told
    if seen > 0:
        said.append(
            ngettext(
                "%(n)d part was met by somebody before, without its answer.",
                "%(n)d parts were met by somebody before, without their answers.",
                seen,
            )
            % {"n": seen}
        )
    return said
