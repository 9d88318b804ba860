"""A ruler as SVG: thin line, thick stretch = allowed, tick = limit, triangle = this part."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count, takewhile
from math import floor, log10

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext, pgettext

from certification.site.charts import plain

EDGE = 20.0
LINE_Y = 66.0


@dataclass(frozen=True, slots=True)
class Ruler:
    """A measurement against its limit.

    `limit`, `value`, `low`, `high`, `ceiling` and `top` share `unit` and are not negative. `low` and
    `high` are the interval of `value`; with them the value is drawn as a dot with its interval below
    the line (a person's own limit) instead of a triangle above it (one part). `ceiling` is a limit
    above the limit, such as the site's. `top` is the end of the scale; without it the scale ends a
    third beyond the largest number. `width` is in pixels at 100 %.
    """

    limit: float
    value: float | None = None
    unit: str = "mm"
    value_word: str = ""
    limit_word: str = ""
    low: float | None = None
    high: float | None = None
    ceiling: float | None = None
    ceiling_word: str = ""
    top: float | None = None
    width: int = 520


def step_of(ruler: Ruler, top: float) -> float:
    """Return the distance of the numbers under a scale that ends at `top`.

    It is 1, 2 or 5 times a power of ten, so that between four and ten steps fit; at least 1 where
    every number is whole, because specks and pits are counted in whole ones.
    """
    power = 10.0 ** floor(log10(top / 4))
    step = next((power * lead for lead in (5, 2) if top / (power * lead) >= 4), power)
    named = (ruler.limit, ruler.value, ruler.low, ruler.high, ruler.ceiling)
    whole = all(float(each).is_integer() for each in named if each is not None)
    return max(step, 1.0) if whole else step


def steps_to(top: float, step: float) -> Iterator[float]:
    """Yield the numbers written under a scale from 0 to `top`."""
    return takewhile(lambda mark: mark <= top * (1 + 1e-9), (step * place for place in count()))


def draw(ruler: Ruler) -> SafeString:
    """Return the drawing with its text alternative."""
    numbers = [ruler.limit, ruler.value, ruler.high, ruler.ceiling]
    largest = max(each for each in numbers if each is not None)
    top = ruler.top or (largest * 4 / 3 if largest > 0 else 1.0)
    scale = (ruler.width - 2 * EDGE) / top

    def at(value: float) -> float:
        return round(EDGE + min(value, top) * scale, 1)

    above = [ruler.ceiling, ruler.value if ruler.high is None else None]
    busy = [at(each) for each in above if each is not None]
    parts = [
        _base(ruler, at(0), at(ruler.limit)),
        _numbers(ruler, top, scale),
        _limit(ruler, at(ruler.limit), busy),
    ]
    if ruler.ceiling is not None:
        parts.append(_ceiling(ruler, at(ruler.ceiling), at(ruler.limit)))
    if ruler.value is not None:
        if ruler.low is not None and ruler.high is not None:
            parts.append(_own(ruler, at(ruler.low), at(ruler.value), at(ruler.high)))
        else:
            parts.append(_part(ruler, at(ruler.value)))
    height = 140 if ruler.high is not None else 102
    return format_html(
        '<svg class="scale" viewBox="0 0 {} {}" width="{}" role="img" aria-label="{}">{}</svg>',
        ruler.width,
        height,
        ruler.width,
        describe(ruler),
        SafeString("".join(parts)),
    )


def describe(ruler: Ruler) -> str:
    """Say the ruler in words, as its text alternative."""
    unit = ruler.unit
    said = [gettext("Limit %(limit)s %(unit)s") % {"limit": plain(ruler.limit), "unit": unit}]
    if ruler.ceiling is not None:
        said.append(f"{_ceiling_word(ruler)} {plain(ruler.ceiling)} {unit}")
    if ruler.value is not None:
        said.append(f"{_value_word(ruler)} {plain(ruler.value)} {unit}")
        if ruler.low is not None and ruler.high is not None:
            bounds = {"low": plain(ruler.low), "high": plain(ruler.high)}
            said.append(gettext("interval %(low)s to %(high)s") % bounds)
        elif ruler.value > ruler.limit:
            over = {"over": plain(ruler.value - ruler.limit), "unit": unit}
            said.append(gettext("%(over)s %(unit)s over") % over)
    return ", ".join(said) + "."


def _value_word(ruler: Ruler) -> str:
    if ruler.value_word:
        return ruler.value_word
    return gettext("yours") if ruler.high is not None else gettext("this part")


def _ceiling_word(ruler: Ruler) -> str:
    return ruler.ceiling_word or pgettext("limit of the", "site")


def _base(ruler: Ruler, zero: float, limit: float) -> str:
    allowed = (
        format_html(
            '<line class="ok" x1="{}" x2="{}" y1="{}" y2="{}"/>', zero, limit, LINE_Y, LINE_Y
        )
        if ruler.limit > 0
        else ""
    )
    return format_html(
        '<line class="base" x1="0" x2="{}" y1="{}" y2="{}"/>{}',
        ruler.width,
        LINE_Y,
        LINE_Y,
        allowed,
    )


def _numbers(ruler: Ruler, top: float, scale: float) -> str:
    step = step_of(ruler, top)
    marks = list(steps_to(top, step))
    places = [EDGE + mark * scale for mark in marks]
    short = [
        EDGE + (mark + step / 2) * scale for mark in marks if mark + step / 2 <= top and step != 1
    ]
    last = len(marks) - 1
    unit_fits = places[-1] + 5 * len(f"{plain(marks[-1])} {ruler.unit}") < ruler.width
    ticks = format_html_join(
        "",
        '<line class="tk" x1="{0}" x2="{0}" y1="{1}" y2="{2}"/>',
        [(f"{x:.1f}", LINE_Y, LINE_Y + 9) for x in places]
        + [(f"{x:.1f}", LINE_Y, LINE_Y + 5) for x in short],
    )
    words = format_html_join(
        "",
        '<text class="lab" x="{}" y="{}" font-size="15" text-anchor="{}">{}</text>',
        (
            (
                f"{x:.1f}" if place < last or unit_fits else ruler.width,
                LINE_Y + 27,
                "middle" if place < last or unit_fits else "end",
                f"{plain(mark)} {ruler.unit}" if place == last else plain(mark),
            )
            for place, (x, mark) in enumerate(zip(places, marks, strict=True))
        ),
    )
    return ticks + words


def _limit(ruler: Ruler, x: float, busy: list[float]) -> str:
    word = ruler.limit_word or pgettext("ruler", "limit")
    text = f"{word} {plain(ruler.limit)} {ruler.unit}"
    # about 8 px for each character: the words stand left of the tick where they fit and cross
    # neither triangle nor upper tick, else right of it
    room = 8 * len(text) + 6
    left_is_free = x > room and not any(x - room - 8 < each < x + 2 for each in busy)
    anchor, shift = ("end", -6) if left_is_free else ("start", 6)
    return format_html(
        '<line class="tk" x1="{}" x2="{}" y1="{}" y2="{}"/>'
        '<text x="{}" y="{}" font-size="16" text-anchor="{}">{}</text>',
        x,
        x,
        LINE_Y - 18,
        LINE_Y + 12,
        x + shift,
        LINE_Y - 14,
        anchor,
        text,
    )


def _ceiling(ruler: Ruler, x: float, limit: float) -> str:
    beyond = (
        format_html(
            '<line class="ok-x" x1="{}" x2="{}" y1="{}" y2="{}"/>', x, limit, LINE_Y, LINE_Y
        )
        if ruler.ceiling is not None and ruler.limit > ruler.ceiling
        else ""
    )
    text = f"{_ceiling_word(ruler)} {plain(ruler.ceiling or 0)} {ruler.unit}"
    anchor, shift = ("end", -6) if x + 8 * len(text) > ruler.width else ("start", 6)
    return format_html(
        '{}<line class="tk" x1="{}" x2="{}" y1="{}" y2="{}"/>'
        '<text class="lab" x="{}" y="{}" font-size="15" text-anchor="{}">{}</text>',
        beyond,
        x,
        x,
        LINE_Y - 40,
        LINE_Y + 12,
        x + shift,
        LINE_Y - 34,
        anchor,
        text,
    )


def _part(ruler: Ruler, x: float) -> str:
    text = f"{_value_word(ruler)} {plain(ruler.value or 0)}"
    half = 4.6 * len(text)
    centre = min(max(x, half), ruler.width - half)
    return format_html(
        '<path class="here" d="M{} {}l-8-12h16z"/>'
        '<text class="strong" x="{}" y="{}" font-size="17" text-anchor="middle">{}</text>',
        x,
        LINE_Y - 4,
        round(centre, 1),
        LINE_Y - 36,
        text,
    )


def _own(ruler: Ruler, low: float, x: float, high: float) -> str:
    y = LINE_Y + 48
    bounds = {"low": plain(ruler.low or 0), "high": plain(ruler.high or 0)}
    interval = gettext("(%(low)s to %(high)s)") % bounds
    text = f"{_value_word(ruler)} {plain(ruler.value or 0)} {interval}"
    room = 8.6 * len(text)
    anchor, place = ("end", low - 10) if low - 10 > room else ("start", high + 10)
    if anchor == "start" and high + 10 + room > ruler.width:
        anchor, place, y_text = "middle", min(max(x, room / 2), ruler.width - room / 2), y + 18
    else:
        y_text = y + 6
    return format_html(
        '<line class="own" x1="{}" x2="{}" y1="{}" y2="{}"/><circle class="here" cx="{}" cy="{}" r="8"/>'
        '<text class="strong" x="{}" y="{}" font-size="16" text-anchor="{}">{}</text>',
        low,
        high,
        y,
        y,
        x,
        y,
        round(place, 1),
        y_text,
        anchor,
        text,
    )
