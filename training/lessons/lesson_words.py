"""A lesson as its page shows it: texts in the reader's language, pictures, the ladder."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.lessons.content import causes, look_alikes
from training.lessons.models import LessonExample, LessonRevision
from training.lessons.selectors import LessonPage, Picture
from training.people.texts import is_stale
from training.quizzes.booth_words import pane_of
from training.quizzes.words import here, short_number
from training.specimens.limit_captions import UNIT_SIGNS

Role = LessonExample.Role
MOST_RUNGS = 5
MOST_PICTURES = 6
# A ladder picture shows its defect with so much of the part around it.
AROUND = 45.0
RUNG_SHAPE = 192 / 140


def lesson_context(page: LessonPage, families: list[Family]) -> dict[str, Any]:
    """Return what lessons/lesson.html shows."""
    lesson = page.lesson
    language = (get_language() or "en")[:2]
    return {
        "page": page,
        "lesson": lesson,
        "family": lesson.family,
        "title": here(lesson.title),
        "one_liner": here(lesson.one_liner),
        "stale": is_stale(lesson.title, language) or is_stale(lesson.one_liner, language),
        "also_called": here(lesson.sections.get("also_called")),
        "weight": _weight(lesson.family),
        "critical_when": here(lesson.family.critical_when),
        "what": _section(lesson, "what", ""),
        "four": [
            each
            for code, heading in (
                ("looks", _("Looks like")),
                ("where", _("Where to look")),
                ("how", _("How to look")),
                ("action", _("What to do")),
            )
            if (each := _section(lesson, code, heading))
        ],
        "alike": _alike(lesson, families),
        "alike_stale": is_stale(lesson.sections.get("confuse"), language),
        "causes": _causes(lesson),
        "ladder": ladder_data(page),
        "pictures": [_shown(picture) for picture in _thinned(page.pictures)],
        "read_aloud": _aloud(lesson),
    }


def _causes(lesson: LessonRevision) -> dict[str, Any] | None:
    """Return the usual causes by where they lie, with the marks of their section."""
    section = _section(lesson, "causes", "")
    if section is None:
        return None
    words = {
        "process": _("Process"),
        "tool": _("Tool"),
        "material": _("Material"),
        "operator": _("At the press"),
        "": _("Causes"),
    }
    found = [(words.get(place, place), said) for place, said in causes(section["text"])]
    return section | {"rows": found}


def _section(lesson: LessonRevision, code: str, heading: str) -> dict[str, Any] | None:
    text = lesson.sections.get(code)
    words = here(text)
    if not words:
        return None
    language = (get_language() or "en")[:2]
    other = "" if text and text.get(language) else "en"
    return {
        "heading": heading,
        "text": words,
        "stale": is_stale(text, language),
        "lang": other,
    }


def _weight(family: Family) -> str:
    words = {"minor": _("minor"), "major": _("major"), "critical": _("critical")}
    return words.get(family.default_severity, family.default_severity)


def _alike(lesson: LessonRevision, families: list[Family]) -> list[dict[str, Any]]:
    names = {here(family.name).casefold(): family for family in families}
    rows = []
    for each in look_alikes(here(lesson.sections.get("confuse"))):
        family = next(
            (f for name, f in names.items() if each.name and name.startswith(each.name.casefold())),
            None,
        )
        rows.append({"name": each.name, "how": each.how, "family": family})
    return rows


def apart_rows(
    pair: Sequence[Family], lessons: Sequence[LessonRevision | None]
) -> list[dict[str, Any]]:
    """Return what each lesson says of how the other family is told from its own."""
    rows = []
    for other, lesson in zip(reversed(pair), lessons, strict=True):
        if lesson is None:
            continue
        named = (row for row in _alike(lesson, [other]) if row["family"] is not None)
        rows += [{"name": here(other.short), "how": row["how"]} for row in named]
    return rows


def _thinned(pictures: Sequence[Picture]) -> Sequence[Picture]:
    """Return a few pictures to look at closely, from the smallest to the largest defect."""
    if len(pictures) <= MOST_PICTURES:
        return pictures
    step = (len(pictures) - 1) / (MOST_PICTURES - 1)
    return [pictures[round(place * step)] for place in range(MOST_PICTURES)]


def _rungs(page: LessonPage) -> list[Picture]:
    """Return the pictures of the ladder: those of one limit, each severity once."""
    measured = [
        each
        for each in page.pictures
        if each.shown.role == Role.LADDER and each.severity is not None and each.limit is not None
    ]
    if not measured:
        return []
    limits = Counter(each.limit for each in measured)
    limit = max(limits, key=lambda value: (limits[value], value or 0))
    by_size = {short_number(each.severity or 0): each for each in measured if each.limit == limit}
    return sorted(by_size.values(), key=lambda each: each.severity or 0)


def ladder_data(page: LessonPage) -> dict[str, Any] | None:
    """Return the ladder of a lesson as `{% ladder %}` draws it; None with fewer than two rungs."""
    rungs = _rungs(page)
    if len(rungs) < 2:
        return None
    limit = rungs[0].limit or 0.0
    accepted = [each for each in rungs if (each.severity or 0) <= limit][-MOST_RUNGS:]
    rejected = [each for each in rungs if (each.severity or 0) > limit][:MOST_RUNGS]
    unit = UNIT_SIGNS.get(rungs[0].unit, rungs[0].unit)  # type: ignore[call-overload]
    jobs = sorted({each.shown.specimen.job.number for each in accepted + rejected})
    zones = sorted({each.shown.specimen.zone for each in accepted + rejected})
    said = {"limit": short_number(limit), "unit": unit, "jobs": ", ".join(jobs[:3])}
    where = ngettext(
        "limit %(limit)s %(unit)s, job %(jobs)s",
        "limit %(limit)s %(unit)s, jobs %(jobs)s",
        len(jobs),
    )
    word = where % said
    if len(zones) == 1:
        word = _("%(limit)s, zone %(zone)s") % {"limit": word, "zone": zones[0]}
    return {
        "unit": unit,
        "limit": limit,
        "limit_word": word,
        "label": _("%(accepted)s are accepted, %(rejected)s are rejected. The limit is %(limit)s.")
        % {
            "accepted": ", ".join(short_number(each.severity or 0) for each in accepted) or "–",
            "rejected": ", ".join(short_number(each.severity or 0) for each in rejected) or "–",
            "limit": f"{short_number(limit)} {unit}",
        },
        "rungs": [_rung(each, _crop_width(accepted + rejected)) for each in accepted + rejected],
    }


def _rung(picture: Picture, width: float) -> dict[str, Any]:
    middle = len(picture.view.frames) // 2
    frame = picture.view.frames[middle]
    return {
        "value": round(picture.severity or 0.0, 2),
        "href": reverse("lessons:frame", args=[picture.shown.specimen.pk, frame.number]),
        "width": frame.width,
        "height": frame.height,
        "crop": _crop(picture, width, frame.width, frame.height),
    }


def _crop_width(pictures: Sequence[Picture]) -> float:
    """Return one width in picture pixels for all rungs, so that sizes can be compared by eye."""
    boxes = [each.box for each in pictures if each.box is not None]
    needed = [
        max(x1 - x0 + 2 * AROUND, (y1 - y0 + 2 * AROUND) * RUNG_SHAPE) for x0, y0, x1, y1 in boxes
    ]
    return max(needed, default=0.0)


def _crop(
    picture: Picture, wanted: float, width: int, height: int
) -> tuple[int, int, int, int] | None:
    """Return the part of the picture around the defect, in the shape of the ladder's pictures."""
    if picture.box is None:
        return None
    x0, y0, x1, y1 = picture.box
    w = min(wanted, float(width), height * RUNG_SHAPE)
    h = w / RUNG_SHAPE
    x = min(max((x0 + x1 - w) / 2, 0), width - w)
    y = min(max((y0 + y1 - h) / 2, 0), height - h)
    return round(x), round(y), round(w), round(h)


def _shown(picture: Picture) -> dict[str, Any]:
    caption = here(picture.shown.caption)
    words = {
        Role.GOOD: _("Accept"),
        Role.BAD: _("Reject"),
        Role.LOOK_ALIKE: _("Look-alike"),
        Role.LADDER: _("Accept") if picture.rejected is False else _("Reject"),
    }[Role(picture.shown.role)]
    size = ""
    if picture.severity is not None:
        unit = UNIT_SIGNS.get(picture.unit, picture.unit)  # type: ignore[call-overload]
        size = f"{short_number(picture.severity)} {unit}"
    urls = [
        reverse("lessons:frame", args=[picture.shown.specimen.pk, frame.number])
        for frame in picture.view.frames
    ]
    note = " · ".join(each for each in (size, caption) if each)
    pane = pane_of(
        picture.view,
        key="part",
        title=words,
        note=size,
        label=f"{words}. {note}",
        urls=urls,
        around=picture.box,
    )
    return {
        "pane": pane | {"region": picture.region},
        "role": picture.shown.role,
        "word": words,
        "note": caption,
        "rejected": picture.rejected,
        "synthetic": picture.shown.specimen.synthetic,
    }


def _aloud(lesson: LessonRevision) -> str:
    codes = ("what", "looks", "where", "how", "action", "confuse")
    said = [here(lesson.title), here(lesson.one_liner)]
    said += [here(lesson.sections.get(code)) for code in codes]
    return " ".join(each for each in said if each)
