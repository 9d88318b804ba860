"""Sentences about exams, in the reader's language."""

from collections.abc import Iterable, Mapping

from django.utils.formats import number_format
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from training.people.texts import in_language
from training.quizzes.blueprint import Stratum
from training.quizzes.scoring import Part
from training.quizzes.working_out import Wanted


def here(text: Mapping[str, str] | None) -> str:
    """Return a text of the plant in the language of the page."""
    return in_language(text, get_language() or "en")


def short_number(value: float) -> str:
    """Write a measurement with two decimals at most and no needless ones, as the language does."""
    rounded = round(value, 2)
    decimals = next(places for places in range(3) if round(rounded, places) == rounded)
    return str(number_format(rounded, decimals))


def stratum_words(stratum: Stratum) -> str:
    """Write a range of severity ÷ limit: 1.05–1.25, over 2, clean."""
    if stratum.low is None:
        return _("clean") if stratum.high is not None else _("any severity")
    if stratum.high is None:
        return _("over %(low)s") % {"low": short_number(stratum.low)}
    return f"{short_number(stratum.low)}–{short_number(stratum.high)}"


def wanted_words(wanted: Iterable[Wanted], names: Mapping[str, str]) -> list[str]:
    """Say what the bank lacks: "5 more bad specimens wanted: Crack". `names` are by family."""
    return [_wanted(each, names) for each in wanted if each.number > 0]


def _wanted(wanted: Wanted, names: Mapping[str, str]) -> str:
    if wanted.photographed:
        said = ngettext(
            "%(n)d part to be photographed, because the plan allows fewer drawn ones: %(family)s",
            "%(n)d parts to be photographed, because the plan allows fewer drawn ones: %(family)s",
            wanted.number,
        )
        family = names.get(wanted.family, wanted.family) or _("good parts")
        return said % {"n": wanted.number, "family": family}
    said = {
        Part.BAD: ngettext(
            "%(n)d more bad specimen wanted: %(family)s",
            "%(n)d more bad specimens wanted: %(family)s",
            wanted.number,
        ),
        Part.GOOD: ngettext(
            "%(n)d more good specimen wanted for the group",
            "%(n)d more good specimens wanted for the group",
            wanted.number,
        ),
        Part.CRITICAL: ngettext(
            "%(n)d more clear specimen wanted for the critical block: %(family)s",
            "%(n)d more clear specimens wanted for the critical block: %(family)s",
            wanted.number,
        ),
    }[wanted.part]
    return said % {"n": wanted.number, "family": names.get(wanted.family, wanted.family)}


def not_examinable(wanted: Iterable[Wanted], names: Mapping[str, str]) -> str:
    """Say in one sentence why a sitting cannot be opened."""
    return _("Not examinable yet: %(wanted)s.") % {"wanted": "; ".join(wanted_words(wanted, names))}
