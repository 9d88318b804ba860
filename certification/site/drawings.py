"""Drawings on the line: the ladder of a lesson, sittings as ticks, turns over a shift, moves between presses.

Each takes a plain mapping, so that an app below the site can ask for one without importing it; what the
mapping carries stands in each function. The text alternative says the same in words.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext, pgettext

from certification.site.charts import plain
from certification.site.shapes import sign_of

LADDER_WIDTH, PICTURE_WIDTH, PICTURE_HEIGHT = 1080, 192, 140
LADDER_LEFT, LADDER_RIGHT, LADDER_LINE = 90, 990, 238


def _use(shape: str, x: float, y: float, css: str) -> SafeString:
    return format_html(
        '<use href="#{}" x="{}" y="{}" width="21" height="14" class="{}"/>',
        shape,
        round(x, 1),
        y,
        css,
    )


def ladder(data: Mapping[str, Any]) -> SafeString:
    """Tie pictures to their measured severity: accepted above the line, rejected below.

    `unit`, `limit`, `limit_word` ("limit 6 mm, job 102, zone A"), `label` (text alternative), and `rungs`: list of
    value, href, width, height of the picture, and optionally crop (x, y, w, h in picture pixels). At most five
    on either side fit.
    """
    rungs: Sequence[Mapping[str, Any]] = sorted(
        data["rungs"], key=lambda rung: float(rung["value"])
    )
    limit = float(data["limit"])
    top = max(*(float(rung["value"]) for rung in rungs), limit) * 1.15
    scale = (LADDER_RIGHT - LADDER_LEFT) / top
    accepted = [rung for rung in rungs if float(rung["value"]) <= limit]
    rejected = [rung for rung in rungs if float(rung["value"]) > limit]
    end = plain(round(top) if top >= 2 else round(top, 1))
    parts = [_ladder_line(limit * scale, end, str(data["unit"]))]
    parts += [
        _rung(rung, data, scale, place, above=True) for rung, place in _spread(accepted, scale)
    ]
    parts += [
        _rung(rung, data, scale, place, above=False) for rung, place in _spread(rejected, scale)
    ]
    parts.append(_ladder_limit(LADDER_LEFT + limit * scale, str(data["limit_word"])))
    if limit < 0.6 * top:
        parts.append(_ladder_word(LADDER_WIDTH, 216, "end", gettext("above the line: accept")))
    if all(place > 300 for _each, place in _spread(rejected, scale)):
        parts.append(_ladder_word(0, 330, "start", gettext("below the line: reject")))
    return format_html(
        '<svg class="ladder" viewBox="0 0 {} 456" role="img" aria-label="{}">{}</svg>',
        LADDER_WIDTH,
        data["label"],
        SafeString("".join(parts)),
    )


def _spread(
    rungs: Sequence[Mapping[str, Any]], scale: float
) -> list[tuple[Mapping[str, Any], float]]:
    """Place pictures near their values, side by side without overlap, inside the drawing."""
    step = PICTURE_WIDTH + 16
    last = len(rungs) - 1
    wanted = [LADDER_LEFT + float(rung["value"]) * scale - PICTURE_WIDTH / 2 for rung in rungs]
    places: list[float] = []
    for want in wanted:
        places.append(max(want, places[-1] + step if places else 0.0))
    # as far to the left of their values as to the right, where pushing apart moved them right only
    drift = sum(place - want for place, want in zip(places, wanted, strict=True)) / max(
        len(places), 1
    )
    for at, place in enumerate(places):
        rightmost = LADDER_WIDTH - PICTURE_WIDTH - step * (last - at)
        places[at] = max(min(place - drift, rightmost), step * at)
    return list(zip(rungs, places, strict=True))


def _rung(
    rung: Mapping[str, Any], data: Mapping[str, Any], scale: float, x: float, *, above: bool
) -> SafeString:
    at = LADDER_LEFT + float(rung["value"]) * scale
    picture_y, word_y, edge = (36, 25, 176) if above else (288, 451, 288)
    crop = rung.get("crop") or (0, 0, rung["width"], rung["height"])
    sign = sign_of("accept" if above else "reject")
    return format_html(
        '<path class="stem" fill="none" d="M{} {}L{} {}"/><circle class="dot" cx="{}" cy="{}" r="4.5"/>'
        '<svg x="{}" y="{}" width="{}" height="{}" viewBox="{}" preserveAspectRatio="xMidYMid slice">'
        '<image href="{}" width="{}" height="{}"/></svg>{}'
        '<text x="{}" y="{}" font-size="17" font-weight="600">{} {}</text>'
        '<text class="lab" x="{}" y="{}" font-size="15" text-anchor="end">{}</text>',
        round(x + PICTURE_WIDTH / 2, 1),
        edge,
        round(at, 1),
        LADDER_LINE,
        round(at, 1),
        LADDER_LINE,
        round(x, 1),
        picture_y,
        PICTURE_WIDTH,
        PICTURE_HEIGHT,
        " ".join(str(each) for each in crop),
        rung["href"],
        rung["width"],
        rung["height"],
        _use(sign.shape, x, word_y - 13, "go" if above else "no"),
        round(x + 29, 1),
        word_y,
        plain(float(rung["value"])),
        data["unit"],
        round(x + PICTURE_WIDTH, 1),
        word_y,
        pgettext("on the ladder", "accept") if above else pgettext("on the ladder", "reject"),
    )


def _ladder_line(limit: float, top: str, unit: str) -> SafeString:
    return format_html(
        '<line class="base" x1="0" x2="{}" y1="{y}" y2="{y}"/><line class="ok" x1="{}" x2="{}" y1="{y}" y2="{y}"/>'
        '<text class="lab" x="{}" y="262" font-size="14" text-anchor="middle">0</text>'
        '<text class="lab" x="{}" y="262" font-size="14" text-anchor="middle">{} {}</text>',
        LADDER_WIDTH,
        LADDER_LEFT,
        round(LADDER_LEFT + limit, 1),
        LADDER_LEFT,
        LADDER_RIGHT,
        top,
        unit,
        y=LADDER_LINE,
    )


def _ladder_word(x: int, y: int, anchor: str, word: str) -> SafeString:
    return format_html(
        '<text class="q" x="{}" y="{}" font-size="26" text-anchor="{}">{}</text>',
        x,
        y,
        anchor,
        word,
    )


def _ladder_limit(x: float, word: str) -> SafeString:
    return format_html(
        '<line class="lim" x1="{x}" x2="{x}" y1="216" y2="278"/>'
        '<text class="t-lim" x="{}" y="274" font-size="16" text-anchor="{}">{}</text>',
        round(x - 8 if x > 300 else x + 8, 1),
        "end" if x > 300 else "start",
        word,
        x=round(x, 1),
    )


def sittings(data: Sequence[Mapping[str, Any]]) -> SafeString:
    """Draw one line a sitting, a tick per bad specimen in the order judged; a missed one hangs below.

    Each row has `day`, `note` ("missed 2 of 8 · false rejects 2 of 30"), `missed` (list of true and false, one
    for each bad specimen), `status` (a key of the signs) and `word`.
    """
    rows = [_sitting(row, 66 * place) for place, row in enumerate(data)]
    said = ". ".join(f"{row['day']}: {row['note']}, {row['word']}" for row in data)
    return format_html(
        '<svg class="chart" viewBox="0 0 320 {}" role="img" aria-label="{}.">{}</svg>',
        66 * len(data),
        said,
        SafeString("".join(rows)),
    )


def _sitting(row: Mapping[str, Any], y: int) -> SafeString:
    missed: Sequence[bool] = row["missed"]
    step = min(19.0, 148 / max(len(missed), 1))
    sign = sign_of(row["status"])
    line = y + 44
    ticks = format_html_join(
        "",
        '<line class="{0}" x1="{1}" x2="{1}" y1="{2}" y2="{3}"/>',
        (
            ("hang", round(8 + step * place, 1), line, line + 13)
            if lost
            else ("up", round(8 + step * place, 1), line - 10, line)
            for place, lost in enumerate(missed)
        ),
    )
    return format_html(
        '<text class="strong" x="0" y="{}">{}</text><text class="lab" x="320" y="{}" text-anchor="end">{}</text>'
        '<line class="axis" x1="0" x2="160" y1="{}" y2="{}"/>{}{}<text class="{}" x="207" y="{}">{}</text>',
        y + 24,
        row["day"],
        y + 24,
        row["note"],
        line,
        line,
        ticks,
        _use(sign.shape, 178, line - 7, f"f-{sign.tone}"),
        "t-limit" if sign.tone == "stop" else "strong",
        line + 5,
        row["word"],
    )


def turns(data: Mapping[str, Any]) -> SafeString:
    """Draw one line a person over a shift, thick where at the press, the moment asked for in marking blue.

    `start` and `end` in hours of a running clock, `hours` (list of hour, word), `at` (hour, word) or None, `label`,
    and `people`: list of name, spans (list of from, to), status (a key of the signs), word.
    """
    start, end = float(data["start"]), float(data["end"])

    def at(hour: float) -> float:
        return round(150 + 660 * (min(max(float(hour), start), end) - start) / (end - start), 1)

    people: Sequence[Mapping[str, Any]] = data["people"]
    foot = 62 + 36 * len(people)
    hours = format_html_join(
        "",
        '<line class="tk" x1="{0}" x2="{0}" y1="26" y2="34"/>'
        '<text class="lab" font-size="13" x="{0}" y="18" text-anchor="middle">{1}</text>',
        ((at(hour), word) for hour, word in data["hours"]),
    )
    parts = [hours, SafeString('<line class="base" x1="150" x2="810" y1="30" y2="30"/>')]
    for place, person in enumerate(people):
        spans = [(at(first), at(last)) for first, last in person["spans"]]
        parts.append(_turn(person, spans, 62 + 36 * place))
    if data.get("at"):
        hour, word = data["at"]
        parts.append(
            format_html(
                '<line class="now" x1="{x}" x2="{x}" y1="24" y2="{}"/>'
                '<text class="t-now" font-size="15" x="{x}" y="{}" text-anchor="middle">{}</text>',
                foot - 18,
                foot + 2,
                word,
                x=at(hour),
            )
        )
    # about 8 px a letter of the longest words at the right
    width = max(1010, *(866 + 8 * len(str(person["word"])) for person in people), 0)
    return format_html(
        '<svg class="turns" viewBox="0 0 {} {}" role="img" aria-label="{}">{}</svg>',
        width,
        foot + 10,
        data["label"],
        SafeString("".join(parts)),
    )


def _turn(person: Mapping[str, Any], spans: Sequence[tuple[float, float]], y: int) -> SafeString:
    thick = format_html_join(
        "",
        '<line class="on" x1="{}" x2="{}" y1="{}" y2="{}"/>',
        ((first, last, y, y) for first, last in spans),
    )
    return format_html(
        '<text font-weight="600" font-size="15" x="0" y="{}">{}</text>'
        '<line class="base" x1="150" x2="810" y1="{}" y2="{}"/>{}{}<text font-size="15" x="866" y="{}">{}</text>',
        y + 5,
        person["name"],
        y,
        y,
        thick,
        _use(sign_of(person["status"]).shape, 836, y - 7, ""),
        y + 5,
        person["word"],
    )


def moves(data: Mapping[str, Any]) -> SafeString:
    """Draw who goes where: rows are places, left is now, right is after; each arrival repeats its standing.

    `label` says the moves in order; `places`: list of name, note, now and after, each None or a mapping of name,
    and for `now` gone (true: struck out) with note, for `after` status and word, and `comes_from` (the row).
    """
    rows: Sequence[Mapping[str, Any]] = data["places"]
    rails = format_html_join(
        "",
        '<line class="rail" x1="0" x2="1000" y1="{0}" y2="{0}"/>',
        ((70 + 56 * place,) for place in range(len(rows) - 1)),
    )
    heads = format_html(
        '<text class="lab" x="150" y="14" font-size="14">{}</text><text class="lab" x="640" y="14" font-size="14">{}</text>',
        gettext("now"),
        gettext("after the moves"),
    )
    names = SafeString("".join(_place(row, 52 + 56 * place) for place, row in enumerate(rows)))
    arrows = SafeString(
        "".join(
            _arrow(
                _end_of(rows[int(row["after"]["comes_from"])]),
                int(row["after"]["comes_from"]),
                place,
            )
            for place, row in enumerate(rows)
            if row.get("after") and row["after"].get("comes_from") is not None
        )
    )
    words = [str(row["after"].get("word", "")) for row in rows if row.get("after")]
    width = max(1000, *(820 + 9 * len(word) for word in words), 0)
    return format_html(
        '<svg class="moves" viewBox="0 0 {} {}" role="img" aria-label="{}"><defs><marker id="arrow" viewBox="0 0 10 10" '
        'refX="9" refY="5" markerWidth="6" markerHeight="6" orient="auto"><path class="gof" d="M0 0l10 5-10 5z"/></marker></defs>'
        "{}{}{}{}</svg>",
        width,
        18 + 56 * len(rows),
        data["label"],
        heads,
        rails,
        names,
        arrows,
    )


def _arrow(x: float, row: int, to_row: int) -> SafeString:
    y, to_y = 45 + 56 * row, 45 + 56 * to_row
    return format_html(
        '<path class="go" d="M{} {} C{} {} {} {} 626 {}" marker-end="url(#arrow)"/>',
        round(x, 1),
        y,
        round(x + (626 - x) * 0.58, 1),
        y,
        round(x + (626 - x) * 0.5, 1),
        to_y,
        to_y,
    )


def _end_of(row: Mapping[str, Any]) -> float:
    """Return where the words about now end, with about 9.5 px a letter of the name and 7.4 px of its note."""
    now = row.get("now") or {}
    return min(160 + 9.5 * len(str(now.get("name", ""))) + 7.4 * len(str(now.get("note", ""))), 560)


def _place(row: Mapping[str, Any], y: int) -> SafeString:
    drawn = format_html(
        '<text x="0" y="{}" font-size="24" font-weight="300">{}</text><text class="lab" x="62" y="{}" font-size="15">{}</text>',
        y,
        row["name"],
        y - 1,
        row.get("note", ""),
    )
    now, after = row.get("now"), row.get("after")
    if now and now.get("gone"):
        beside = 158 + 9.5 * len(str(now["name"]))
        drawn += format_html(
            '<text class="lab" x="150" y="{}" font-size="18" text-decoration="line-through">{}</text>{}'
            '<text class="t-stop" x="{}" y="{}" font-size="16">{}</text>',
            y - 1,
            now["name"],
            _use("s-away", beside, y - 14, "f-stop"),
            beside + 30,
            y - 1,
            now.get("note", ""),
        )
    elif now:
        drawn += format_html(
            '<text class="name" x="150" y="{}" font-size="18">{}</text><text class="lab" x="{}" y="{}" font-size="15">{}</text>',
            y - 1,
            now["name"],
            158 + 9.5 * len(str(now["name"])),
            y - 1,
            now.get("note", ""),
        )
    if after:
        sign = sign_of(after["status"])
        drawn += format_html(
            '<text class="name" x="640" y="{}" font-size="18">{}</text>{}<text class="t-go" x="820" y="{}" font-size="16">{}</text>',
            y - 1,
            after["name"],
            _use(sign.shape, 790, y - 14, f"f-{sign.tone}"),
            y - 1,
            after.get("word", sign.word),
        )
    return drawn
