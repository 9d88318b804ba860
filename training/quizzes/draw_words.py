"""A draw in words: whether it could be made again, family by family, and the figure of it."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.quizzes.blueprint import Strata
from training.quizzes.drawing import OWN_JOBS_SHARE
from training.quizzes.plan_words import percent
from training.quizzes.redrawing import Remade
from training.quizzes.selectors.draw import DrawExplained, DrawnFamily, DrawnPart, Filled
from training.quizzes.words import here, short_number
from training.specimens.models import Pool

# The status shape of each way in which a draw made again comes out.
SHAPES = {
    Remade.SAME: "done",
    Remade.SAME_THOUGH_CHANGED: "done",
    Remade.CHANGED: "open",
    Remade.DIFFERS: "differs",
    Remade.UNKNOWN: "open",
}


def remade_words(draw: DrawExplained) -> tuple[str, str, str]:
    """Return status shape, word and sentence of the draw made again."""
    said = {
        Remade.SAME: (
            _("the same"),
            _(
                "Drawn again from the stored seed and the same %(n)d candidates: every part in the "
                "same place."
            ),
        ),
        Remade.SAME_THOUGH_CHANGED: (
            _("the same"),
            _(
                "The bank has changed since; drawn again from the stored seed, every part is in the "
                "same place all the same."
            ),
        ),
        Remade.CHANGED: (
            _("cannot be made again"),
            _(
                "The bank is no longer the one of that day: specimens were retired, moved, decided "
                "again or added since. What was presented stands in the record; that this draw came "
                "of this seed can no longer be shown."
            ),
        ),
        Remade.DIFFERS: (
            _("differs"),
            _(
                "The candidates are the same and the draw is another: record and seed contradict "
                "each other. Have the record verified and tell whoever looks after this site."
            ),
        ),
        Remade.UNKNOWN: (
            _("cannot be made again"),
            _("This exam kept nothing to draw it again from: what was presented stands below."),
        ),
    }
    word, sentence = said[draw.remade]
    number = draw.asked.candidates if draw.asked else 0
    return SHAPES[draw.remade], word, sentence % {"n": number}


def missing_words(draw: DrawExplained) -> list[str]:
    """Say of each presented specimen that is not drawn again what became of it."""
    if draw.remade is not Remade.CHANGED:
        return []
    lines = []
    for row in draw.missing:
        specimen = row.specimen
        if specimen.retired_day is not None:
            why = _("retired since")
        elif specimen.pool != Pool.EXAM:
            why = _("moved to another pool since")
        else:
            why = _("another one would be drawn today")
        lines.append(f"{specimen.number}: {why}")
    return lines


def share_words(n: int, of: int) -> str:
    """Write "12 of 40, 30 %"."""
    return _("%(n)d of %(of)d, %(share)s") % {
        "n": n,
        "of": of,
        "share": percent(n / of if of else 0),
    }


def findings(draw: DrawExplained) -> list[str]:
    """Say what the draw came to: own jobs, met before, the rule because of it, pictures, pool."""
    total = len(draw.parts)
    said = [
        _(
            "From the person's own jobs: %(share)s. At least %(least)s of each stratum, where the "
            "bank holds as many."
        )
        % {"share": share_words(draw.own, total), "least": percent(OWN_JOBS_SHARE)},
        _("Met before by this person: %(share)s.") % {"share": share_words(draw.seen, total)},
    ]
    if draw.plan.tightened:
        said.append(_("Because of that the rule was tightened: fewer misses were allowed."))
    elif draw.seen:
        said.append(_("That is little enough for the usual rule."))
    said.append(_("Drawn by program: %(share)s.") % {"share": share_words(draw.synthetic, total)})
    said.append(
        _(
            "All from the exam pool, which shares no specimen with the teaching pool; what this "
            "person saw with its answer was left out."
        )
    )
    lacking = sum(max(0, each.wanted - each.drawn) for each in _all_strata(draw))
    said.append(
        ngettext(
            "%(n)d place of the blueprint was not filled as wanted; the number of parts was kept.",
            "%(n)d places of the blueprint were not filled as wanted; the number of parts was kept.",
            lacking,
        )
        % {"n": lacking}
        if lacking
        else _("The blueprint was filled as wanted.")
    )
    return said


def _all_strata(draw: DrawExplained) -> list[Filled]:
    return [each for family in draw.families for each in family.strata] + list(draw.good_strata)


def family_rows(draw: DrawExplained) -> list[dict[str, Any]]:
    """Return a row for each family and one for the good parts."""
    rows = [_family(each, draw.rules.bad_strata) for each in draw.families]
    if draw.good:
        rows.append(
            {
                "name": _("Good parts"),
                "held": "–",
                "drawn": len(draw.good),
                "critical": 0,
                "own": sum(each.own for each in draw.good),
                "seen": _seen(draw.good),
                "synthetic": sum(each.synthetic for each in draw.good),
                "strata": _strata(draw.good_strata, draw.rules.good_strata),
            }
        )
    return rows


def _family(row: DrawnFamily, strata: Strata) -> dict[str, Any]:
    parts = (*row.bad, *row.critical)
    return {
        "name": here(row.family.name),
        "held": "–" if row.fresh is None else f"{row.fresh} / {row.total}",
        "drawn": len(row.bad),
        "critical": len(row.critical),
        "own": sum(each.own for each in parts),
        "seen": _seen(parts),
        "synthetic": sum(each.synthetic for each in parts),
        "strata": _strata(row.strata, strata),
    }


def _seen(parts: Sequence[DrawnPart]) -> str:
    known = [each.seen for each in parts if each.seen is not None]
    return str(sum(known)) if len(known) == len(parts) else "–"


def _strata(filled: Iterable[Filled], strata: Strata) -> list[dict[str, Any]]:
    names = {each.code: stratum_word(each.low, each.high) for each in strata}
    return [
        {
            "name": names.get(each.code, _("present")),
            "wanted": each.wanted,
            "drawn": each.drawn,
            "short": each.drawn < each.wanted,
        }
        for each in filled
    ]


def stratum_word(low: float | None, high: float | None) -> str:
    """Write a range of severity ÷ limit: "clean", "1.05–1.25", "over 2"."""
    if low is None:
        return _("clean")
    if high is None:
        return _("over %(low)s") % {"low": short_number(low)}
    return f"{short_number(low)}–{short_number(high)}"


def figure_of(draw: DrawExplained) -> dict[str, Any]:
    """Return the drawn parts on the axis severity ÷ limit, a line for each family and the good."""
    lines = [(here(each.family.short), (*each.bad, *each.critical)) for each in draw.families]
    if draw.good:
        lines.append((_("good parts"), draw.good))
    bounds = {
        value
        for stratum in (*draw.rules.bad_strata, *draw.rules.good_strata)
        for value in (stratum.low, stratum.high)
        if value is not None
    }
    return {
        "key": "draw",
        "title": _("Severity ÷ limit of the parts drawn"),
        "finding": " ".join(findings(draw)),
        "bounds": sorted(bounds),
        "rows": [
            {
                "name": name,
                "ticks": [
                    {"ratio": each.ratio, "own": each.own, "seen": bool(each.seen)}
                    for each in sorted(parts, key=lambda each: each.ratio or 0)
                ],
            }
            for name, parts in lines
        ],
    }
