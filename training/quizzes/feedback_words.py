"""What is said after a practice answer: what it came to, how far from the limit, what to do."""

from dataclasses import dataclass
from typing import Any, Final

from django.urls import reverse
from django.utils.translation import gettext as _

from training.floor.limits import Unit
from training.quizzes.booth_words import frame_urls, job_words, pane_of
from training.quizzes.models import Sitting
from training.quizzes.outlines import bounds, frame_path
from training.quizzes.scoring import Outcome
from training.quizzes.selectors.booth import BoothPart
from training.quizzes.selectors.practice import Answered
from training.quizzes.selectors.progress import REJECT, Progress
from training.quizzes.words import here, short_number
from training.specimens.limit_captions import UNIT_SIGNS, LimitWords
from training.specimens.models import ReferenceDecision
from training.statistics.proportions import clopper_pearson

Basis = ReferenceDecision.Basis
# The key of each action in the pictures of the four actions.
ACTION_SIGNS: Final = {"keep_running": "run", "trim": "trim", "segregate": "tag", "stop": "call"}


def feedback_context(
    sitting: Sitting, progress: Progress, part: BoothPart, answered: Answered
) -> dict[str, Any]:
    """Return what quizzes/_feedback.html shows of one answer."""
    decision = answered.presented.decision
    limit = _limit(part, answered)
    return {
        "sitting": sitting,
        "part": part,
        "job": job_words(part),
        "answered": answered,
        "said": answered.judgement.answer,
        "truth": decision.decision,
        "basis": _basis(decision.basis),
        "limit": limit,
        "verdict": _verdict(answered, limit),
        "place_note": _place_note(answered),
        "name_note": _name_note(answered),
        "action": ACTION_SIGNS[decision.action],
        "hard": how_hard(answered),
        "family_name": here(answered.family.name),
        "twin": _twin(answered),
        "lesson": _lesson(sitting, answered),
        "panes": _panes(sitting, progress, part, answered, limit),
        "is_last": progress.next_ordinal > progress.plan.total,
    }


def _basis(basis: str) -> str:
    return {
        Basis.MEASURED: _("Measured against the limit"),
        Basis.PANEL: _("The panel says"),
        Basis.QUALITY: _("Quality says"),
    }[Basis(basis)]


@dataclass(frozen=True, slots=True)
class Measured:
    """A part's severity and its family's limit, in the same unit."""

    severity: float
    limit: float
    unit: str


def _limit(part: BoothPart, answered: Answered) -> Measured | None:
    """Return severity and limit where both are numbers of the same unit."""
    if answered.severity is None:
        return None
    for words in part.limits:
        if words.family == answered.family.slug and words.size and words.unit == answered.unit:
            unit = UNIT_SIGNS.get(Unit(words.unit), words.unit)
            # As it is shown, so that the difference is the one that can be read off.
            return Measured(round(answered.severity, 2), words.size, unit)
    return None


def _verdict(answered: Answered, measured: Measured | None) -> str:
    """Say how far from the limit the part is; where nothing is measured, what it is."""
    bad = answered.presented.decision.decision == REJECT
    if measured is not None and bad:
        over = measured.severity - measured.limit
        if over <= 0:
            return _("Each is small enough, but there are too many.")
        return _("%(by)s %(unit)s over the limit.") % {
            "by": short_number(over),
            "unit": measured.unit,
        }
    if measured is not None and measured.severity:
        under = measured.limit - measured.severity
        return _("%(by)s %(unit)s under the limit.") % {
            "by": short_number(under),
            "unit": measured.unit,
        }
    if bad:
        return _("None of this is accepted here.")
    return _("Nothing here that would be rejected.")


def _place_note(answered: Answered) -> str:
    if answered.outcome is Outcome.WRONG_PLACE:
        return _("Right answer, wrong place. It counts as a miss.")
    if answered.outcome is Outcome.KEPT_RUNNING:
        return _("Rejected, but kept running: on a critical family that counts as a miss.")
    return ""


def _name_note(answered: Answered) -> str:
    named = answered.judgement.family
    bad = answered.presented.decision.decision == REJECT
    if not bad or named is None or named.pk == answered.family.pk:
        return ""
    return _("You named it %(named)s; it is %(family)s.") % {
        "named": here(named.name),
        "family": here(answered.family.name),
    }


def how_hard(answered: Answered) -> str:
    """Say how large the defect is against its limit, and how many people let it through."""
    bad = answered.presented.decision.decision == REJECT
    said = []
    if answered.ratio:
        said.append(_("%(ratio)s × the limit.") % {"ratio": short_number(answered.ratio)})
    if bad and answered.people > 1:
        high = clopper_pearson(answered.missed, answered.people).high
        said.append(
            _("%(missed)s of %(people)s people let it through, at most %(high)s %%.")
            % {
                "missed": answered.missed,
                "people": answered.people,
                "high": round(100 * high),
            }
        )
    return " ".join(said)


def _panes(
    sitting: Sitting,
    progress: Progress,
    part: BoothPart,
    answered: Answered,
    limit: Measured | None,
) -> dict[str, Any]:
    """Return the first piece and this part with its defect outlined, on the view that was tapped."""
    place = _shown_view(answered)
    outlines = _outlines(progress, part.ordinal, place)
    around = bounds(outlines)
    limits = _own_limit(limit)
    panes: dict[str, Any] = {"first": None, "part": None}
    if part.views:
        view = part.views[min(place, len(part.views) - 1)]
        panes["part"] = pane_of(
            view,
            key="part",
            title=_("This part"),
            note=here(answered.family.short) if answered.outcome is not Outcome.ACCEPTED else "",
            label=_("This part, the place outlined"),
            urls=frame_urls(sitting, part.ordinal, view, "frame"),
            limits=limits,
            around=around,
        ) | {
            "region": frame_path(outlines),
            "region_shown": True,
            "marks": _your_mark(answered, place),
        }
    if part.first is not None and part.first.views:
        views = part.first.views
        view = views[min(place, len(views) - 1)]
        panes["first"] = pane_of(
            view,
            key="first",
            title=_("Approved first piece"),
            note="",
            label=_("Approved first piece"),
            urls=frame_urls(sitting, part.ordinal, view, "first_piece_frame"),
            limits=limits,
            around=around,
        )
    return panes


def _lesson(sitting: Sitting, answered: Answered) -> str:
    """Return whose lesson helps: a clean part of another family is looked at for those practised."""
    slug = answered.family.slug
    return slug if slug in sitting.families or not sitting.families else sitting.families[0]


def _twin(answered: Answered) -> dict[str, Any] | None:
    """Return the same part on the other side of the limit, and the one thing they differ in."""
    twin = answered.twin
    if twin is None:
        return None
    middle = len(twin.view.frames) // 2
    frame = twin.view.frames[middle]
    size = ""
    if twin.specimen.severity is not None:
        unit = UNIT_SIGNS.get(twin.specimen.unit, twin.specimen.unit)  # type: ignore[call-overload]
        size = f"{short_number(float(twin.specimen.severity))} {unit}"
    return {
        "href": reverse("lessons:frame", args=[twin.specimen.pk, frame.number]),
        "width": frame.width,
        "height": frame.height,
        "region": frame_path(twin.polygons),
        "rejected": twin.rejected,
        "size": size,
        "difference": here(twin.difference),
    }


def _your_mark(answered: Answered, place: int) -> list[dict[str, Any]]:
    """Return the tapped place beside the outlined one, where it is on the view that is shown."""
    judgement = answered.judgement
    views = list(answered.presented.specimen.views.all())
    tapped_here = place < len(views) and views[place].pk == judgement.view_id
    if judgement.place_x is None or not tapped_here:
        return []
    x, y = judgement.place_x, judgement.place_y
    return [{"x": x, "y": y, "r": 16, "size": 24, "word": _("your tap")}]


def _own_limit(measured: Measured | None) -> tuple[LimitWords, ...]:
    if measured is None or measured.unit != "mm":
        return ()
    value = f"{short_number(measured.limit)} mm"
    return (
        LimitWords(family="", word=_("limit"), value=value, whole=value, bar_mm=measured.limit),
    )


def _shown_view(answered: Answered) -> int:
    """Return which view is shown: the tapped one if the defect is outlined on it or nowhere.

    Else the first that is outlined, else the first.
    """
    views = list(answered.presented.specimen.views.all())
    outlined = [n for n, view in enumerate(views) if view.regions.all()]
    tapped = [n for n, view in enumerate(views) if view.pk == answered.judgement.view_id]
    found = [n for n in tapped if n in outlined or not outlined] or outlined
    return found[0] if found else 0


def _outlines(progress: Progress, ordinal: int, place: int) -> list[list[list[float]]]:
    views = list(progress.by_ordinal[ordinal].specimen.views.all())
    regions = views[place].regions.all() if place < len(views) else ()
    return [polygon for region in regions for polygon in region.polygons]
