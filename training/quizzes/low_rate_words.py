"""The low-rate round in words: when it is due, what is lacking, and each part worth a second look."""

from collections.abc import Sequence
from typing import Any

from django.utils.dateformat import format as format_date
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from training.quizzes.booth_words import frame_urls, pane_of
from training.quizzes.exercise_words import outlines_of
from training.quizzes.models import Sitting
from training.quizzes.outlines import bounds, frame_path
from training.quizzes.scoring import Outcome, outcome
from training.quizzes.selectors.booth import BoothPart
from training.quizzes.selectors.low_rate import LowRateDue, LowRateGroup
from training.quizzes.selectors.progress import Progress, answer_of
from training.quizzes.words import here


def due_words(due: LowRateDue) -> dict[str, Any]:
    """Return whether a round is due, and one sentence about it."""
    until = format_date(due.until, pgettext("pattern of a day", "j M"))
    last = format_date(due.last, pgettext("pattern of a day", "j M")) if due.last else ""
    if due.due:
        said = _("Due this quarter, by %(until)s.") % {"until": until}
        if last:
            said += " " + _("The last one was on %(last)s.") % {"last": last}
    else:
        said = _("Done on %(last)s; the next is due after %(until)s.") % {
            "last": last,
            "until": until,
        }
    return {"due": due.due, "text": said}


def lacking_words(found: LowRateGroup | None) -> list[str]:
    """Say what the teaching pool lacks for a round; nothing where it lacks nothing."""
    if found is None:
        return [_("The teaching pool holds no bad specimen with a picture.")]
    said = []
    if found.lacking.bad:
        said.append(
            ngettext(
                "%(n)d more bad specimen wanted: %(group)s.",
                "%(n)d more bad specimens wanted: %(group)s.",
                found.lacking.bad,
            )
            % {"n": found.lacking.bad, "group": here(found.group.name)}
        )
    if found.lacking.clean:
        said.append(
            ngettext(
                "%(n)d more clean good specimen wanted, of any family.",
                "%(n)d more clean good specimens wanted, of any family.",
                found.lacking.clean,
            )
            % {"n": found.lacking.clean}
        )
    return said


def worth_a_look(progress: Progress) -> list[int]:
    """Return the ordinals of what is looked at again: every bad part, and good ones refused."""
    return [
        ordinal
        for ordinal, judgement in sorted(progress.scored.items())
        if outcome(progress.truths[ordinal], answer_of(judgement)) is not Outcome.ACCEPTED
    ]


def looked_again(
    sitting: Sitting, progress: Progress, parts: Sequence[BoothPart]
) -> list[dict[str, Any]]:
    """Return the parts that are looked at again, missed ones first, each with its outline."""
    rows = [_row(sitting, progress, part) for part in parts]
    return sorted(rows, key=lambda row: (not row["missed"], row["number"]))


WORDS = {
    Outcome.HIT: "found",
    Outcome.MISSED: "missed",
    Outcome.WRONG_PLACE: "wrong_place",
    Outcome.KEPT_RUNNING: "kept_running",
    Outcome.FALSE_REJECT: "refused",
}


def _row(sitting: Sitting, progress: Progress, part: BoothPart) -> dict[str, Any]:
    presented = progress.by_ordinal[part.ordinal]
    judgement = progress.scored[part.ordinal]
    came_to = outcome(progress.truths[part.ordinal], answer_of(judgement))
    family = here(presented.specimen.family.short)
    words = {
        "found": _("Found"),
        "missed": _("Let through"),
        "wrong_place": _("Right answer, wrong place"),
        "kept_running": _("Rejected and kept running"),
        "refused": _("Good, and refused"),
    }[WORDS[came_to]]
    return {
        "number": part.ordinal,
        "missed": came_to not in (Outcome.HIT, Outcome.FALSE_REJECT),
        "words": words,
        "family": family if came_to is not Outcome.FALSE_REJECT else "",
        "slug": presented.specimen.family.slug,
        "pane": _pane(sitting, progress, part, family),
    }


def _pane(
    sitting: Sitting, progress: Progress, part: BoothPart, family: str
) -> dict[str, Any] | None:
    if not part.views:
        return None
    presented = progress.by_ordinal[part.ordinal]
    shown = [(place, outlines_of(presented, place)) for place in range(len(part.views))]
    place, outline = next(((place, each) for place, each in shown if each), shown[0])
    view = part.views[place]
    pane = pane_of(
        view,
        key="part",
        title=_("Part %(n)s") % {"n": part.ordinal},
        note=family if outline else "",
        label=_("Part %(n)s, the place outlined") % {"n": part.ordinal},
        urls=frame_urls(sitting, part.ordinal, view, "frame"),
        limits=part.limits[:0],
        around=bounds(outline),
    )
    return pane | {"region": frame_path(outline), "region_shown": True}
