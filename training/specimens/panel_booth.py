"""What a member of the panel sees of a part: pictures, first piece, limits; never what others said.

Nothing here depends on what the part is, how it was measured, or what was decided of it before.
"""

import json
from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.timezone import localtime
from django.utils.translation import get_language, pgettext
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.people.texts import in_language
from training.specimens.limit_captions import LimitWords, bars_of, limit_words, short_name
from training.specimens.models import PanelItem, PanelRound
from training.specimens.panel_turns import Place
from training.specimens.selectors import FirstPieceViews, ViewRow, first_piece_views, views_of
from training.specimens.standards import standard_of

LEAST_LOOK_S = 2
PER_PAGE = 8


def part_context(round_: PanelRound, place: Place) -> dict[str, Any]:
    """Return what specimens/_panel_part.html shows of one look. Costs fifteen queries at most."""
    item = (
        PanelItem.objects.select_related("specimen__job", "specimen__family", "work_instruction")
        .filter(round=round_)
        .get(pk=place.item)
    )
    specimen, language = item.specimen, (get_language() or "en")[:2]
    standard = standard_of(specimen.job, timezone.localdate(round_.opened_at))
    families = list(Family.objects.select_related("group"))
    alike = [each for each in families if each.group_id == specimen.family.group_id]
    said = (
        limit_words(
            each.slug,
            in_language(each.short, language),
            standard.rulings(each.slug, specimen.zone),
            language,
        )
        for each in alike
    )
    limits = [each for each in said if each is not None]
    first = first_piece_views(specimen.job, round_.opened_at)
    views = [view for view in views_of([specimen.pk]).get(specimen.pk, ()) if view.frames]
    needs = item.work_instruction.needs if item.work_instruction else {}
    return {
        "round": round_,
        "place": place,
        "zone": specimen.zone,
        "number": specimen.number,
        "job": _job_words(item, language),
        "views": [
            _view(round_, place, view, at=at, first=first, limits=limits, several=len(views) > 1)
            for at, view in enumerate(views)
        ],
        "limits": [each for each in limits if each.value],
        "under": _under(item, limits),
        "look_seconds": LEAST_LOOK_S,
        **_families(alike, [each for each in families if each.slug in needs], language),
    }


def _job_words(item: PanelItem, language: str) -> str:
    job = item.specimen.job
    return _("Job %(number)s · %(part)s") % {
        "number": job.number,
        "part": in_language(job.part, language),
    }


def _view(
    round_: PanelRound,
    place: Place,
    view: ViewRow,
    *,
    at: int,
    first: FirstPieceViews | None,
    limits: Sequence[LimitWords],
    several: bool,
) -> dict[str, Any]:
    urls = [
        reverse("specimens:panel_frame", args=[round_.pk, place.ordinal, view.position, n])
        for n, _frame in enumerate(view.frames)
    ]
    pane = _pane(view, key="part", title=_("Part to judge"), urls=urls, limits=limits)
    return {
        "number": at,
        "pane": pane,
        "first": _first_pane(first, at, limits),
        "tilts": len(view.frames) > 1,
        "several": several,
    }


def _first_pane(
    first: FirstPieceViews | None, at: int, limits: Sequence[LimitWords]
) -> dict[str, Any] | None:
    """Return the pane of the approved first piece that stands beside a view, with its marks."""
    if first is None or not first.views:
        return None
    chosen = min(at, len(first.views) - 1)
    view, start = first.views[chosen], first.first_frames[chosen]
    urls = [
        reverse("specimens:first_piece_frame", args=[first.first_piece.pk, start + n])
        for n, _frame in enumerate(view.frames)
    ]
    pane = _pane(view, key="first", title=_("Approved first piece"), urls=urls, limits=limits)
    approved = format_date(
        localtime(first.first_piece.approved_at),
        pgettext("pattern of a day and its minute", "j M, H:i"),
    )
    pane["note"] = _("rev %(revision)s · %(moment)s") % {
        "revision": first.first_piece.revision,
        "moment": approved,
    }
    frame = view.frames[0]
    pane["marks"] = [
        {
            "x": round(float(mark["x"]) * frame.width),
            "y": round(float(mark["y"]) * frame.height),
            "r": round(frame.width / 36),
            "size": round(frame.width / 24),
            "word": str(number),
        }
        for number, mark in enumerate(first.first_piece.marks if chosen == 0 else (), start=1)
    ]
    return pane


def _pane(
    view: ViewRow, *, key: str, title: str, urls: Sequence[str], limits: Sequence[LimitWords]
) -> dict[str, Any]:
    middle = len(urls) // 2
    return {
        "key": key,
        "title": title,
        "label": title,
        "href": urls[middle],
        "width": view.frames[middle].width,
        "height": view.frames[middle].height,
        "frames_json": json.dumps(list(urls)) if len(urls) > 1 else "",
        "frame": middle,
        "ppm": view.px_per_mm or "",
        "bars": bars_of(limits) if view.px_per_mm else "",
    }


def _under(item: PanelItem, limits: Sequence[LimitWords]) -> str:
    """Return the second line under the limits: what is not accepted at all, how to look, the sheet."""
    none = [limit.word for limit in limits if not limit.value]
    said = [_("none: %(families)s") % {"families": ", ".join(none)}] if none else []
    said += [next((limit.seen_at for limit in limits if limit.seen_at), "")]
    if item.work_instruction:
        said.append(
            _("sheet %(job)s, rev %(revision)s")
            % {"job": item.specimen.job.number, "revision": item.work_instruction.revision}
        )
    return " · ".join(each for each in said if each)


def _families(alike: Sequence[Family], others: Sequence[Family], language: str) -> dict[str, Any]:
    """Return the families to name: the look-alikes first, then the others of the job's sheet."""
    chosen = [*alike, *(each for each in others if each not in alike)]
    per_page = PER_PAGE if len(chosen) <= PER_PAGE else PER_PAGE - 1
    rows = []
    for at, each in enumerate(chosen):
        name = short_name(in_language(each.short, language))
        rows.append(
            {
                "key": each.slug,
                "name": name[:1].upper() + name[1:],
                "page": at // per_page + 1,
                "picture": "",
            }
        )
    return {"families": rows, "page_count": rows[-1]["page"] if rows else 1}
