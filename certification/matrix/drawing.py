"""The body of the matrix as HTML: rows of pre-joined cells, because there are thousands."""

from collections.abc import Iterable

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import ngettext, pgettext

from certification.matrix.selectors import Column, Matrix, Row

# Cell kind -> class of the cell, symbol of the sprite.
DRAWN = {
    "alone": ("c-go", "s-go"),
    "due": ("c-due", "s-due"),
    "buddy": ("c-pair", "s-pair"),
    "lapsed": ("c-stop", "s-lapsed"),
    "suspended": ("c-stop", "s-susp"),
    "no": ("c-stop", "s-stop"),
    "away": ("c-away", "s-away"),
}
NOTHING = mark_safe("<span></span>")


def draw_body(matrix: Matrix, selected: str = "") -> SafeString:
    """Return the rows; each cell is a button that asks for its reasons."""
    return format_html_join(
        "", "{}", ((_row(row, matrix.columns, selected),) for row in matrix.rows)
    )


def _row(row: Row, columns: Iterable[Column], selected: str) -> SafeString:
    note = _note(row)
    head = format_html(
        '<th scope="row">{}{}</th>',
        row.person.name,
        format_html(" <small>{}</small>", note) if note else "",
    )
    cells = format_html_join(
        "",
        '<td class="{}"><button type="submit" form="mx-filter" name="cell" value="{}"'
        ' aria-label="{}">{}</button></td>',
        (
            (
                _cell_class(cell.kind, column.first, selected == key),
                key,
                f"{row.person.name}, {column.job.number}: {cell.sentence}",
                _drawn(cell.kind, cell.word),
            )
            for cell, column in zip(row.cells, columns, strict=True)
            for key in (f"{row.person.personnel_no}:{column.job.number}",)
        ),
    )
    return format_html("<tr>{}{}</tr>", head, cells)


def _cell_class(kind: str, first: bool, on: bool) -> str:
    base = DRAWN[kind][0] if kind in DRAWN else "c-none"
    return base + (" g0" if first else "") + (" on" if on else "")


def _drawn(kind: str, word: str) -> SafeString:
    if kind not in DRAWN:
        return NOTHING
    symbol = format_html('<svg aria-hidden="true"><use href="#{}"/></svg>', DRAWN[kind][1])
    return format_html("{}<em>{}</em>", symbol, word) if word else symbol


def _note(row: Row) -> str:
    if row.away:
        return pgettext("beside a name in the matrix", "away today")
    if row.note_kind in ("lapsed", "suspended"):
        return ngettext("%(n)d lapsed", "%(n)d lapsed", row.note_count) % {"n": row.note_count}
    if row.note_kind == "no":
        return ngettext("%(n)d blocked", "%(n)d blocked", row.note_count) % {"n": row.note_count}
    if row.note_kind == "due":
        return ngettext("%(n)d ends soon", "%(n)d end soon", row.note_count) % {"n": row.note_count}
    return ""
