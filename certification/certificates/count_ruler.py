"""A count of errors on a line: thick as far as it passes, a triangle where this sitting stands."""

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

WIDTH, LEFT, RIGHT, LINE_Y = 520, 30.0, 480.0, 38
# Between two numbers at least so many pixels, or only the last two are written.
ROOM = 60.0


def draw_counts(errors: int, shown: int, allowed: int, words: str) -> SafeString:
    """Return the drawing of errors among specimens shown, of which some are allowed.

    ``words`` name what was counted and stand above the triangle. The scale ends one beyond the
    number allowed, or at the errors where those are more.
    """
    top = max(allowed + 1, errors)
    step = (RIGHT - LEFT) / top
    every = 1 if step >= ROOM else max(allowed, 1)

    def at(count: int) -> float:
        return round(LEFT + count * step, 1)

    marks = [count for count in range(top + 1) if count % every == 0 or count == allowed + 1]
    here = at(errors)
    middle = min(max(here, 5.0 * len(words)), WIDTH - 5.0 * len(words))
    return format_html(
        '<svg class="scale" viewBox="0 0 {} 74" width="{}" role="img" aria-label="{}">'
        '<line class="base" x1="0" x2="{}" y1="{}" y2="{}"/>'
        '<line class="ok" x1="{}" x2="{}" y1="{}" y2="{}"/>{}'
        '<path class="here" d="M{} {}l-9-13h18z"/>'
        '<text class="strong" x="{}" y="13" font-size="16" text-anchor="middle">{}</text></svg>',
        WIDTH,
        WIDTH,
        describe(errors, shown, allowed, words),
        WIDTH,
        LINE_Y,
        LINE_Y,
        LEFT,
        max(at(allowed), LEFT + 1),
        LINE_Y,
        LINE_Y,
        _marks([(at(count), _number(count, allowed)) for count in marks]),
        here,
        LINE_Y - 6,
        middle,
        words,
    )


def describe(errors: int, shown: int, allowed: int, words: str) -> str:
    """Say the drawing in words, as its text alternative."""
    values = {"words": words, "allowed": allowed, "fails": allowed + 1}
    said = (
        _("%(words)s. Passes with 0 to %(allowed)s, fails at %(fails)s.")
        if allowed
        else _("%(words)s. Passes with 0, fails at %(fails)s.")
    )
    return said % values if shown else words


def _number(count: int, allowed: int) -> str:
    if count == allowed:
        return pgettext("count on a ruler", "%(n)d passes") % {"n": count}
    if count == allowed + 1:
        return pgettext("count on a ruler", "%(n)d fails") % {"n": count}
    return str(count)


def _marks(marks: list[tuple[float, str]]) -> SafeString:
    return format_html_join(
        "",
        '<line class="tk" x1="{0}" x2="{0}" y1="30" y2="46"/>'
        '<text class="lab" x="{0}" y="66" font-size="15" text-anchor="middle">{1}</text>',
        marks,
    )
