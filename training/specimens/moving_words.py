"""Which specimens a moved limit takes out of the exams, in words, before it is signed."""

from urllib.parse import quote

from django.urls import reverse
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from training.floor.moving import Moved, Moves, NewLines
from training.people.texts import in_language
from training.specimens.limit_captions import short_name
from training.specimens.models import Pool
from training.specimens.settling import ToSettle, Way, would_wait


def specimens_moving(new: NewLines) -> Moves | None:
    """Return the specimens that will wait for a decision under the new lines, or None for none."""
    waiting = would_wait(new)
    if not waiting:
        return None
    language = (get_language() or "en")[:2]
    every = [each for rows in waiting.values() for each in rows]
    exam = sum(each.specimen.pool == Pool.EXAM for each in every)
    decided = ngettext(
        "%(n)d is decided by the revision before and is out until it is decided again.",
        "%(n)d are decided by the revision before and are out until they are decided again.",
        len(every),
    )
    leaving = ngettext("%(n)d of them leaves the exams.", "%(n)d of them leave the exams.", exam)
    return Moves(
        name=_("Specimens"),
        said=f"{decided % {'n': len(every)}} {leaving % {'n': exam}}",
        rows=tuple(
            Moved(short_name(in_language(family.short, language)), len(rows), _becomes(rows))
            for family, rows in waiting.items()
        ),
        url=f"{reverse('specimens:specimen_list')}?job={quote(new.job.number)}",
        link=_("The specimens of this job"),
    )


def _becomes(rows: list[ToSettle]) -> str:
    """Return how those of one family can be decided again: "2 change side, 1 too near, 5 stay"."""
    measured = [each for each in rows if each.way is Way.MEASURE]
    turning = sum(each.turns for each in measured)
    near = sum(each.way is Way.NEAR for each in rows)
    staying = len(measured) - turning
    others = len(rows) - len(measured) - near
    parts = [
        (turning, ngettext("%(n)d changes side", "%(n)d change side", turning)),
        (
            near,
            ngettext(
                "%(n)d lies within 5 %% of the limit: no exam uses it",
                "%(n)d lie within 5 %% of the limit: no exam uses them",
                near,
            ),
        ),
        (others, ngettext("%(n)d for a panel", "%(n)d for a panel", others)),
        (staying, ngettext("%(n)d stays on its side", "%(n)d stay on their side", staying)),
    ]
    return ", ".join(words % {"n": count} for count, words in parts if count)
