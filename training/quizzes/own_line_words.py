"""Where somebody set the line on a ladder, in words and pictures, against the job's limit."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.utils.translation import gettext as _

from training.quizzes.booth_words import frame_urls
from training.quizzes.exercise_words import measured_of, outlines_of
from training.quizzes.models import Sitting
from training.quizzes.outlines import Box, bounds
from training.quizzes.own_line import OwnLine, Side, own_line, setting_at
from training.quizzes.selectors.booth import BoothPart
from training.quizzes.selectors.exercises import StepResult
from training.quizzes.selectors.progress import REJECT
from training.quizzes.words import short_number

MOST_RUNGS: Final = 5
# Width by height of a picture on the ladder, and how much of the part shows around the mark.
RUNG_SHAPE, AROUND = 192 / 140, 45.0


def own_line_context(
    sitting: Sitting, results: Mapping[int, StepResult], parts: Sequence[BoothPart]
) -> dict[str, Any]:
    """Return where the person set the line on the ladder, against the job's limit."""
    first = next(iter(results.values()))
    sizes = [float(each.specimen.severity or 0) for each in first.presented]
    measured = measured_of(parts[-1], first.presented[-1])
    accepted = [
        sum(judgement.answer != REJECT for judgement in result.judgements)
        for result in results.values()
    ]
    if measured["limit"] is None:
        return {"settings": _against_decisions(first, accepted), "line": None}
    limit = float(measured["limit"])
    settings = [setting_at(sizes, count) for count in accepted]
    line = own_line(settings, sizes, limit)
    unit = measured["unit"]
    return {
        "line": line,
        "limit": limit,
        "unit": unit,
        "settings": [
            {"words": _setting_words(setting.low, setting.high, unit), "side": _side_word(side)}
            for setting, side in zip(settings, line.sides, strict=True)
        ],
        "say": line_words(line, limit, unit),
        "meaning": _meaning(line, limit, unit),
        "finest": _finest(line),
        "ladder": _ladder_drawing(sitting, first, parts, measured, sizes),
        "family": first.presented[0].specimen.family,
    }


def _against_decisions(first: StepResult, accepted: Sequence[int]) -> list[dict[str, str]]:
    """Say each setting in rungs, where the limit is no number in the rungs' unit."""
    good = sum(each.decision.decision != REJECT for each in first.presented)
    words = {
        -1: _("stricter than the job"),
        0: _("at the job's limit"),
        1: _("looser than the job"),
    }
    return [
        {
            "words": _("%(n)s of %(of)s accepted; the job accepts %(good)s")
            % {"n": count, "of": len(first.presented), "good": good},
            "side": words[(count > good) - (count < good)],
        }
        for count in accepted
    ]


def _setting_words(low: float | None, high: float | None, unit: str) -> str:
    if high is None:
        return _("everything accepted, up to %(low)s %(unit)s") % {
            "low": short_number(low or 0),
            "unit": unit,
        }
    if not low:
        return _("rejected from %(high)s %(unit)s on") % {"high": short_number(high), "unit": unit}
    return _("accepted to %(low)s, rejected from %(high)s %(unit)s on") % {
        "low": short_number(low),
        "high": short_number(high),
        "unit": unit,
    }


def _side_word(side: Side) -> str:
    return {
        Side.STRICTER: _("stricter than the job"),
        Side.AT_LIMIT: _("at the job's limit"),
        Side.LOOSER: _("looser than the job"),
    }[side]


def line_words(line: OwnLine, limit: float, unit: str) -> str:
    """Say where the own line lies against the job's limit, in the unit and as a ratio."""
    if line.line is None or line.ratio is None:
        return _("A line was set beyond the ladder, so it has no number.")
    said = {
        "line": short_number(line.line),
        "limit": short_number(limit),
        "unit": unit,
        "ratio": short_number(line.ratio),
    }
    if line.count(Side.AT_LIMIT) == len(line.sides):
        return _("Your line lies at the job's limit: %(line)s against %(limit)s %(unit)s.") % said
    return (
        _("Your line: %(line)s %(unit)s, %(ratio)s × the job's limit of %(limit)s %(unit)s.") % said
    )


def _meaning(line: OwnLine, limit: float, unit: str) -> str:
    """Say what follows at the press, where most settings lie on one side."""
    half = len(line.sides) / 2
    if line.count(Side.STRICTER) > half:
        return _("Stricter than the job: good parts are thrown away.")
    if line.count(Side.LOOSER) > half:
        return _("Looser than the job: bad parts go through.")
    if line.count(Side.AT_LIMIT) > half:
        return _("You draw the line where the job does.")
    return _("Your settings lie on both sides of the limit: compare with the limit sample.")


def _finest(line: OwnLine) -> str:
    if line.finest == float("inf"):
        return ""
    return _("The two rungs about the limit differ by %(percent)s %%: no line is told closer.") % {
        "percent": round(100 * (line.finest - 1))
    }


def _ladder_drawing(
    sitting: Sitting,
    first: StepResult,
    parts: Sequence[BoothPart],
    measured: Mapping[str, Any],
    sizes: Sequence[float],
) -> dict[str, Any] | None:
    """Return the rungs as `{% ladder %}` draws them; without pictures nothing."""
    limit, unit = float(measured["limit"]), measured["unit"]
    place = min(len(part.views) for part in parts) - 1
    if place < 0:
        return None
    box = bounds([polygon for each in first.presented for polygon in outlines_of(each, place)])
    rungs = [
        _rung(sitting, part, place, size, box) for part, size in zip(parts, sizes, strict=True)
    ]
    accepted = [each for each in rungs if each["value"] <= limit][-MOST_RUNGS:]
    rejected = [each for each in rungs if each["value"] > limit][:MOST_RUNGS]
    said = f"{short_number(limit)} {unit}"
    return {
        "unit": unit,
        "limit": limit,
        "limit_word": _("limit %(limit)s, job %(job)s, zone %(zone)s")
        % {"limit": said, "job": parts[0].job.number, "zone": parts[0].zone},
        "label": _("%(accepted)s are accepted, %(rejected)s are rejected. The limit is %(limit)s.")
        % {
            "accepted": ", ".join(short_number(each["value"]) for each in accepted),
            "rejected": ", ".join(short_number(each["value"]) for each in rejected),
            "limit": said,
        },
        "rungs": accepted + rejected,
    }


def _rung(
    sitting: Sitting, part: BoothPart, place: int, size: float, box: Box | None
) -> dict[str, Any]:
    view = part.views[place]
    middle = len(view.frames) // 2
    frame = view.frames[middle]
    return {
        "value": round(size, 2),
        "href": frame_urls(sitting, part.ordinal, view, "frame")[middle],
        "width": frame.width,
        "height": frame.height,
        "crop": None if box is None else _crop(box, frame.width, frame.height),
    }


def _crop(box: Box, width: int, height: int) -> tuple[int, int, int, int]:
    """Return the same piece of every rung's picture, around the largest mark."""
    x0, y0, x1, y1 = box
    w = max(x1 - x0 + 2 * AROUND, (y1 - y0 + 2 * AROUND) * RUNG_SHAPE)
    w = min(w, float(width), height * RUNG_SHAPE)
    h = w / RUNG_SHAPE
    x = min(max((x0 + x1 - w) / 2, 0), width - w)
    y = min(max((y0 + y1 - h) / 2, 0), height - h)
    return round(x), round(y), round(w), round(h)
