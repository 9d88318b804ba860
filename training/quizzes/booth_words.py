"""What the booth's templates are given: panes, captions, limits and titles, in words."""

import json
from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.dateformat import format as format_date
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from training.floor.models import Family, FamilyGroup
from training.quizzes.conditions_words import conditions_of
from training.quizzes.kinds import AT_ONCE
from training.quizzes.models import Kind, Sitting
from training.quizzes.screen_check import pixels_per_mm
from training.quizzes.selectors.booth import BoothPart, FirstPieceRef, ViewRef
from training.quizzes.words import here
from training.quizzes.worked_plan import WorkedPlan
from training.specimens.limit_captions import LimitWords

MOST_BARS = 4
# A picture that begins at a defect shows so many times its width, and at least so many pixels.
AROUND, LEAST_SHOWN = 4.0, 320.0
# A tall defect needs width too: the pane of feedback is about twice as wide as high.
UPRIGHT = 2.6
Box = tuple[float, float, float, float]


def exam_title(sitting: Sitting) -> str:
    """Return the title of a sitting: an exam is named by its groups, practice by its families."""
    if sitting.kind in AT_ONCE:
        names = [
            here(family.short)
            for family in Family.objects.filter(slug__in=sitting.families).order_by("position")
        ]
        pattern = _("Practice: %(names)s")
        if sitting.kind == Kind.REFRESHER:
            pattern = _("Refresher: %(names)s")
        return pattern % {"names": ", ".join(names)}
    if sitting.kind == Kind.LOW_RATE:
        return _("Low-rate round")
    if sitting.kind == Kind.STUDY:
        return _("Agreement study %(number)s") % {"number": sitting.number}
    names = [here(group.name) for group in FamilyGroup.objects.filter(code__in=sitting.groups)]
    return _("Exam: %(names)s") % {"names": ", ".join(names)}


def part_context(sitting: Sitting, plan: WorkedPlan, part: BoothPart) -> dict[str, Any]:
    """Return what quizzes/_part.html shows of a part."""
    return {
        "sitting": sitting,
        "part": part,
        "job": job_words(part),
        "views": [_view(sitting, part, place, view) for place, view in enumerate(part.views)],
        "limits": [limit for limit in part.limits if limit.value],
        "under": under_words(part),
        "look_seconds": plan.least_look_ms / 1000,
        "holds": sitting.kind not in AT_ONCE,
        "families": [
            {
                "key": family.slug,
                "name": family.name,
                "page": family.page,
                "picture": reverse("quizzes:family_picture", args=[family.slug])
                if family.pictured
                else "",
            }
            for family in part.families
        ],
        "page_count": part.pages,
    } | aids_of(sitting, part)


def aids_of(sitting: Sitting, part: BoothPart) -> dict[str, Any]:
    """Return what the person was granted and what the job asks: pace, reading aloud, real size."""
    conditions = conditions_of(sitting)
    pace = part.job.pace_s
    if conditions is None:
        return {"pace_s": pace, "aloud": "", "device_px_per_mm": None}
    scale = None
    if conditions.card_width_px and conditions.density_percent:
        scale = pixels_per_mm(conditions.card_width_px, conditions.density_percent)
    return {
        "pace_s": pace and round(pace * (100 + conditions.extra_time_percent) / 100),
        "aloud": _aloud(part) if conditions.read_aloud else "",
        "device_px_per_mm": scale,
    }


def _aloud(part: BoothPart) -> str:
    """Return the limits as they are read aloud."""
    limits = ". ".join(f"{limit.word}: {limit.value}" for limit in part.limits if limit.value)
    zone = _("Zone %(zone)s") % {"zone": part.zone}
    return ". ".join(
        each for each in (zone, limits, under_words(part).replace(" · ", ". ")) if each
    )


def job_words(part: BoothPart) -> str:
    """Return "Job 102 · Control-panel fascia, graphite"."""
    name = here(part.job.part)
    colour = here(part.job.colour)
    said = _("Job %(number)s · %(part)s") % {"number": part.job.number, "part": name}
    return f"{said}, {colour}" if colour else said


def _view(sitting: Sitting, part: BoothPart, place: int, view: ViewRef) -> dict[str, Any]:
    note = ""
    if len(part.views) > 1:
        note = _("view %(n)s of %(count)s") % {"n": place + 1, "count": len(part.views)}
    pane = pane_of(
        view,
        key="part",
        title=_("Part to judge"),
        note=note,
        label=_("Part to judge"),
        urls=frame_urls(sitting, part.ordinal, view, "frame"),
        limits=part.limits,
    )
    return {
        "number": place,
        "pane": pane,
        "first": first_pane(sitting, part, place),
        "tilts": len(view.frames) > 1,
        "several": len(part.views) > 1,
    }


def first_pane(sitting: Sitting, part: BoothPart, place: int) -> dict[str, Any] | None:
    """Return the pane of the first piece that stands beside a view, or None where there is none."""
    first = part.first
    if first is None or not first.views:
        return None
    view = first.views[min(place, len(first.views) - 1)]
    marks = first.marks if view is first.views[0] else ()
    return pane_of(
        view,
        key="first",
        title=_("Approved first piece"),
        note=_first_note(first),
        label=_first_label(first),
        urls=frame_urls(sitting, part.ordinal, view, "first_piece_frame"),
        limits=part.limits,
    ) | {"marks": marks}


def _first_note(first: FirstPieceRef) -> str:
    approved = localtime(first.piece.approved_at)
    moment = format_date(approved, pgettext("pattern of a day and its minute", "j M, H:i"))
    return _("rev %(revision)s · %(moment)s") % {
        "revision": first.piece.revision,
        "moment": moment,
    }


def _first_label(first: FirstPieceRef) -> str:
    notes = " ".join(f"{mark.word}: {mark.note}." for mark in first.marks if mark.note)
    return f"{_('Approved first piece')}. {notes}".strip()


def frame_urls(sitting: Sitting, ordinal: int, view: ViewRef, route: str) -> list[str]:
    return [
        reverse(f"quizzes:{route}", args=[sitting.pk, ordinal, frame.number])
        for frame in view.frames
    ]


def pane_of(
    view: ViewRef,
    *,
    key: str,
    title: str,
    note: str,
    label: str,
    urls: Sequence[str],
    limits: Sequence[LimitWords] = (),
    around: Box | None = None,
    shown: int | None = None,
) -> dict[str, Any]:
    """Return what partials/pane.html shows of a view; the middle picture comes first, or `shown`.

    `around` is a box in picture pixels to begin at; without it the whole picture is shown.
    """
    middle = len(urls) // 2 if shown is None else shown
    frame = view.frames[min(middle, len(view.frames) - 1)]
    return {
        "key": key,
        "title": title,
        "note": note,
        "label": label,
        "href": urls[middle],
        "width": frame.width,
        "height": frame.height,
        "frames_json": json.dumps(list(urls)) if len(urls) > 1 else "",
        "frame": middle,
        "ppm": view.ppm or "",
        "bars": bars_of(limits),
        **_start(around),
    }


def _start(around: Box | None) -> dict[str, float]:
    if around is None:
        return {}
    x0, y0, x1, y1 = around
    width = max(LEAST_SHOWN, AROUND * (x1 - x0), UPRIGHT * (y1 - y0))
    return {"cx": (x0 + x1) / 2, "cy": (y0 + y1) / 2, "w": width}


def bars_of(limits: Sequence[LimitWords]) -> str:
    """Return limits to scale as the pane draws them: "6:weld 6 mm;10:flow 10 mm"."""
    bars = [limit for limit in limits if limit.bar_mm]
    return ";".join(
        f"{limit.bar_mm:g}:{limit.word} {limit.value}".replace(";", ",")
        for limit in bars[:MOST_BARS]
    )


def under_words(part: BoothPart) -> str:
    """Return the second line under the limits: what is not accepted at all, how to look, which sheet."""
    none = [limit.word for limit in part.limits if not limit.value]
    said = [_("none: %(families)s") % {"families": ", ".join(none)}] if none else []
    said += [next((limit.seen_at for limit in part.limits if limit.seen_at), "")]
    if part.sheet:
        said.append(
            _("sheet %(job)s, rev %(revision)s") % {"job": part.job.number, "revision": part.sheet}
        )
    return " · ".join(each for each in said if each)
