"""Why a family is in a refresher, in words."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.floor.models import Family
from training.quizzes.refreshing import Chosen, Why
from training.quizzes.words import here, short_number


def chosen_rows(chosen: Sequence[Chosen], families: Mapping[str, Family]) -> list[dict[str, Any]]:
    """Return the families of a refresher with their reasons, in the order they press."""
    return [
        {
            "family": families[each.state.family],
            "name": here(families[each.state.family].name),
            "why": why_words(each),
        }
        for each in chosen
        if each.state.family in families
    ]


def why_words(chosen: Chosen) -> str:
    """Say in one sentence why the family is chosen."""
    state = chosen.state
    return {
        Why.MISSED: _("Missed %(missed)s of %(bad)s bad parts in the last rounds."),
        Why.TOO_LOOSE: _("Your own limit is %(ratio)s × the job's: looser."),
        Why.TOO_STRICT: _("Your own limit is %(ratio)s × the job's: stricter."),
        Why.FALSE_REJECTS: _("Refused %(refused)s of %(good)s good parts in the last rounds."),
        Why.NEVER: _("Not practised yet."),
        Why.LONG_AGO: ngettext(
            "Last practised %(days)s day ago.",
            "Last practised %(days)s days ago.",
            state.days or 0,
        ),
        Why.OWN_LIMIT: _("Your own limit is %(ratio)s × the job's so far: parts near it."),
    }[chosen.why] % {
        "missed": state.missed,
        "bad": state.bad,
        "refused": state.refused,
        "good": state.good,
        "ratio": short_number(state.ratio or 1.0),
        "days": state.days or 0,
    }
