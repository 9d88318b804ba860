"""Template tags of the look: `{% load look %}`.

Standings and answers (partials/shapes.html must be on the page; every base template includes it)

    {% status "lapsed" %}                     shape and translated word of any key in shapes.STATUSES
    {% status row.standing word="12 days" %}  another word beside the same shape
    {% status "gap" large=True %}             22 px instead of body size
    {% shape "s-away" %}                      the shape alone, for places that carry their own word
    {% action "tag" %}                        picture and word of run, trim, tag, call
    {{ "due_soon"|tone }}                     go, due, pair, stop or none, for class="st-…" or class="c-…"

Numbers

    {% counted 2 65 _("missed") high=0.08 %}            2 of 65 missed, at most 8 %
    {% counted 4 24 _("bad") low=0.047 high=0.374 %}    4 of 24 bad, 5 to 37 %
    {{ 0.051|percent }}                                 5 %
    {% ruler limit=6 value=9 unit="mm" %}               drawing to scale, see certification.site.ruler
    {% progress 22 70 %}                                ticks on the line and "22 of 70 judged"

Days (a date or a datetime; an aware one is shown in the plant's time zone)

    {{ ends|day }}  24 Nov      {{ ends|day_year }}  24 Nov 2026     {{ ends|weekday }}  Tue 24 Nov
    {{ at|clock }}  22:00       {{ at|moment }}      24 Nov 2026, 22:00

A text with a per cent sign is translated with {% translate "…" as word %} first; _("… %") doubles the sign.

Page

    {% block_text "title" %}                  the text of a block, for <title> and the title block
"""

import datetime as dt

from django import template
from django.template.context import Context
from django.template.loader_tags import BLOCK_CONTEXT_KEY
from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.formats import number_format
from django.utils.html import format_html, format_html_join, strip_tags
from django.utils.safestring import SafeString
from django.utils.text import normalize_newlines
from django.utils.translation import gettext, pgettext

from certification.site import ruler as ruler_drawing
from certification.site.shapes import ACTIONS, sign_of

register = template.Library()


@register.simple_tag
def shape(name: str) -> SafeString:
    """Draw one symbol of the sprite."""
    return format_html('<svg aria-hidden="true"><use href="#{}"/></svg>', name)


@register.simple_tag
def status(key: object, word: object = None, *, large: bool = False) -> SafeString:
    """Draw a status: shape, word, tone."""
    sign = sign_of(key)
    return format_html(
        '<span class="st st-{}{}"><svg aria-hidden="true"><use href="#{}"/></svg>{}</span>',
        sign.tone,
        " st-l" if large else "",
        sign.shape,
        sign.word if word is None else word,
    )


@register.simple_tag
def action(key: object) -> SafeString:
    """Draw one of the four actions: picture and word."""
    sign = sign_of(key, ACTIONS)
    return format_html(
        '<span class="do"><svg aria-hidden="true"><use href="#{}"/></svg>{}</span>',
        sign.shape,
        sign.word,
    )


@register.filter
def tone(key: object) -> str:
    """Return the tone of a status."""
    return sign_of(key).tone


@register.filter
def percent(share: float | None) -> str:
    """Write a share between 0 and 1 as whole per cent, below one per cent with one decimal."""
    if share is None:
        return "–"
    hundred = share * 100
    decimals = 1 if 0 < hundred < 0.95 else 0
    return f"{number_format(round(hundred, decimals), decimals)}\N{NO-BREAK SPACE}%"


@register.simple_tag
def counted(
    count: int, total: int, word: str = "", *, low: float | None = None, high: float | None = None
) -> str:
    """Write a count with its sample size and its interval; `low` and `high` are shares of 0 to 1."""
    values = {"count": count, "total": total, "word": word}
    counts = (
        gettext("%(count)s of %(total)s %(word)s") % values
        if word
        else gettext("%(count)s of %(total)s") % values
    )
    if high is None:
        return counts
    if low is None or low <= 0:
        return gettext("%(counts)s, at most %(high)s") % {"counts": counts, "high": percent(high)}
    return gettext("%(counts)s, %(low)s to %(high)s") % {
        "counts": counts,
        "low": percent(low).removesuffix("\N{NO-BREAK SPACE}%"),
        "high": percent(high),
    }


@register.simple_tag
def ruler(
    limit: float,
    value: float | None = None,
    unit: str = "mm",
    *,
    value_word: str = "",
    limit_word: str = "",
    low: float | None = None,
    high: float | None = None,
    ceiling: float | None = None,
    ceiling_word: str = "",
    top: float | None = None,
    width: int = 520,
) -> SafeString:
    """Draw a measurement against its limit; see `certification.site.ruler.draw`."""
    return ruler_drawing.draw(
        ruler_drawing.Ruler(
            limit=float(limit),
            value=None if value is None else float(value),
            unit=unit,
            value_word=value_word,
            limit_word=limit_word,
            low=None if low is None else float(low),
            high=None if high is None else float(high),
            ceiling=None if ceiling is None else float(ceiling),
            ceiling_word=ceiling_word,
            top=None if top is None else float(top),
            width=width,
        )
    )


@register.simple_tag
def progress(done: int, total: int) -> SafeString:
    """Draw judgements made out of the plan's constant number as ticks on the line, with the words."""
    width, edge = 800, 8
    step = (width - 2 * edge) / max(total - 1, 1)
    ticks = format_html_join(
        "",
        '<line class="{}" x1="{}" x2="{}" y1="{}" y2="{}"/>',
        (
            ("done fine" if total > 30 else "done", x, x, 4, 18)
            if place < done
            else ("tk", x, x, 7, 15)
            for place, x in ((place, f"{edge + place * step:.1f}") for place in range(total))
        ),
    )
    words = gettext("%(done)s of %(total)s judged") % {"done": done, "total": total}
    return format_html(
        '<div class="b-prog"><p data-progress>{}</p>'
        '<svg viewBox="0 0 {} 22" preserveAspectRatio="none" aria-hidden="true">'
        '<line class="base" x1="0" x2="{}" y1="11" y2="11"/>{}</svg></div>',
        words,
        width,
        width,
        ticks,
    )


def _written(value: dt.date | None, pattern: str) -> str:
    if not value:
        return "–"
    if isinstance(value, dt.datetime) and timezone.is_aware(value):
        value = timezone.localtime(value)
    return format_date(value, pattern)


@register.filter
def day(value: dt.date | None) -> str:
    """Write 24 Nov; Spanish 24 nov."""
    return _written(value, pgettext("pattern of a day", "j M"))


@register.filter
def day_year(value: dt.date | None) -> str:
    """Write 24 Nov 2026."""
    return _written(value, pgettext("pattern of a day with its year", "j M Y"))


@register.filter
def weekday(value: dt.date | None) -> str:
    """Write Tue 24 Nov."""
    return _written(value, pgettext("pattern of a day with its weekday", "D j M"))


@register.filter
def clock(value: dt.datetime | None) -> str:
    """Write 22:00."""
    return _written(value, "H:i")


@register.filter
def moment(value: dt.datetime | None) -> str:
    """Write 24 Nov 2026, 22:00."""
    return _written(value, pgettext("pattern of a moment", "j M Y, H:i"))


@register.simple_tag(takes_context=True)
def block_text(context: Context, name: str) -> str:
    """Return the plain text of a block of the page, so that one block serves h1, title and title block."""
    blocks = context.render_context.get(BLOCK_CONTEXT_KEY)
    block = blocks.get_block(name) if blocks is not None else None
    if block is None:
        return ""
    return SafeString(" ".join(strip_tags(normalize_newlines(block.render(context))).split()))
