"""A study on paper: verdict, figures, the figure of its answers and a title block, on A4."""

import datetime as dt
import io
from collections.abc import Sequence
from typing import Any, Final
from xml.sax.saxutils import escape as xml_escape

from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.translation import gettext as _
from django.utils.translation import pgettext
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    Flowable,
    KeepTogether,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from training.quizzes.agreement.letters import REGULAR, STRONG, load_letters, writable
from training.quizzes.agreement.reading import PartReading, StudyReading
from training.quizzes.models import AgreementStudy

# figures: study-rates, study-cohen, study-fleiss, study-ac1, study-alpha, study-verdict
MARGIN: Final = 14 * mm
FOOT: Final = 30 * mm
# A frame keeps six points on either side of what stands in it.
INSET: Final = 6
WIDTH: Final = A4[0] - 2 * MARGIN - 2 * INSET
INK, SOFT, EDGE = colors.HexColor("#1A1A1A"), colors.HexColor("#4A4A4A"), colors.HexColor("#767676")
ROW: Final = 4.1 * mm
# Above so many parts the figure stands in two columns, so that a study stays on two pages.
ONE_COLUMN: Final = 20

BODY = ParagraphStyle("body", fontName=REGULAR, fontSize=8.5, leading=11, textColor=INK)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=7, leading=9, textColor=SOFT)
HEAD = ParagraphStyle("head", parent=BODY, fontSize=16, leading=20)
PART = ParagraphStyle("part", parent=BODY, fontSize=11, leading=14, spaceBefore=7, spaceAfter=3)
CELL = ParagraphStyle("cell", parent=BODY, fontSize=7.5, leading=9.5)
BOLD = ParagraphStyle("bold", parent=CELL, fontName=STRONG)


def escape(text: str) -> str:
    """Make a text safe for a paragraph of the sheet."""
    return xml_escape(writable(text))


class AnswerRows(Flowable):
    """Rows of a study's answers: accepted above the line, rejected below, dissent thick."""

    def __init__(self, parts: Sequence[PartReading], judges: Sequence[str], width: float) -> None:
        super().__init__()
        self.parts, self.judges, self.width = parts, judges, width
        self.height = ROW * len(parts) + 7 * mm

    def wrap(self, *_sizes: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas: Canvas = self.canv
        top = self.height - 3 * mm
        canvas.setFont(REGULAR, 6.5)
        canvas.setFillColor(SOFT)
        canvas.drawString(0, top, _("part"))
        canvas.drawCentredString(self._reference, top, pgettext("short for reference", "ref."))
        canvas.drawRightString(self.width, top, _("differ"))
        for place, name in enumerate(self.judges):
            start, width = self._span(place)
            canvas.drawCentredString(start + width / 2, top, writable(name[:12]))
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.line(0, top - 1.6 * mm, self.width, top - 1.6 * mm)
        for place, part in enumerate(self.parts):
            self._row(part, top - 2.6 * mm - ROW * (place + 0.5))

    @property
    def _reference(self) -> float:
        return 22 * mm

    def _span(self, place: int) -> tuple[float, float]:
        left, right = 28 * mm, self.width - 13 * mm
        step = (right - left) / len(self.judges)
        return left + step * place + 1 * mm, step - 2 * mm

    def _row(self, part: PartReading, y: float) -> None:
        canvas: Canvas = self.canv
        canvas.setFillColor(INK)
        canvas.setFont(STRONG if part.against else REGULAR, 6.5)
        canvas.drawString(0, y - 2, writable(part.label[:12]))
        if part.against:
            canvas.drawRightString(self.width, y - 2, f"{part.against}/{part.of}")
        self._line(self._reference - 3 * mm, self._reference + 3 * mm, y)
        self._tick(self._reference, y, accepted=part.reference, other=False)
        for place, own in enumerate(part.accepted):
            start, width = self._span(place)
            self._line(start, start + width, y)
            for number, accepted in enumerate(own):
                x = start + width / len(own) * (number + 0.5)
                self._tick(x, y, accepted=accepted, other=accepted != part.reference)

    def _line(self, start: float, end: float, y: float) -> None:
        self.canv.setStrokeColor(EDGE)
        self.canv.setLineWidth(0.4)
        self.canv.line(start, y, end, y)

    def _tick(self, x: float, y: float, *, accepted: bool, other: bool) -> None:
        reach = 1.6 * mm if accepted else -1.6 * mm
        self.canv.setStrokeColor(INK if other else SOFT)
        self.canv.setLineWidth(2.4 if other else 0.7)
        self.canv.line(x, y, x, y + reach)


def study_sheet(
    study: AgreementStudy, context: dict[str, Any], *, made_for: str, moment: dt.datetime
) -> bytes:
    """Return the sheet of a finished study as PDF; `context` is what its page shows."""
    load_letters()
    read: StudyReading = context["result"]
    story: list[Flowable] = [
        Paragraph(escape(f"{study.number} {study.name}"), HEAD),
        Paragraph(escape(study.note), SMALL),
        Paragraph(escape(context["sentence"]), BODY),
        Paragraph(escape(_("What to do next")), PART),
        *(Paragraph("– " + escape(_step(step)), BODY) for step in context["steps"]),
        Paragraph(escape(_("Each person")), PART),
        _people(context["people"]),
        Paragraph(escape(_intervals()), SMALL),
        KeepTogether([Paragraph(escape(_("Pairs and everybody")), PART), _both(context)]),
        Paragraph(escape(context["prevalence"]), SMALL),
        Paragraph(escape(_("On which parts do people differ, and who?")), PART),
        Paragraph(escape(f"{context['figure']['method']} {context['figure']['finding']}"), SMALL),
        Spacer(1, 2 * mm),
        _figure(read),
        KeepTogether([Paragraph(escape(_("Usual acceptance values")), PART), _acceptance(context)]),
    ]
    file = io.BytesIO()
    page = SimpleDocTemplate(
        file,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=FOOT,
        title=f"{study.number} {study.name}",
        author="Witness Line",
    )

    def foot(canvas: Canvas, document: Any) -> None:
        _title_block(canvas, study, made_for, moment, int(document.page))

    page.build(story, onFirstPage=foot, onLaterPages=foot)
    return file.getvalue()


def _step(step: dict[str, Any]) -> str:
    parts = ", ".join(part for part, _address in step["parts"])
    return f"{step['text']} {parts}".strip()


def _intervals() -> str:
    return _(
        "Intervals: exact (Clopper-Pearson), two-sided, 95 %. Effectiveness counts parts, misses and "
        "false alarms count decisions."
    )


def _people(rows: Sequence[Any]) -> Table:
    head = [
        _("Person"),
        _("Effectiveness"),
        _("Like themselves"),
        _("Kappa against the reference"),
        _("Misses"),
        _("False alarms"),
        _("Verdict"),
    ]
    cells = [
        [
            _cell(f"{row.label} {row.person}".strip(), BOLD),
            _cell(row.effectiveness),
            _cell(f"{row.self_agreement}; {row.within}"),
            _cell(row.reference),
            _cell(row.misses),
            _cell(row.false_alarms),
            _cell(row.verdict, BOLD),
        ]
        for row in rows
    ]
    shares = (0.15, 0.14, 0.17, 0.15, 0.125, 0.135, 0.13)
    table: list[list[Any]] = [[_cell(word, SMALL) for word in head], *cells]
    return _ruled(table, [WIDTH * each for each in shares])


def _both(context: dict[str, Any]) -> Table:
    """Pairs at the left, everybody at the right."""
    third = WIDTH / 2 - 3 * mm
    pairs = [
        [_cell(name, BOLD), _cell(kappa), _cell(word)] for name, kappa, word in context["pairs"]
    ]
    every = [
        [_cell(name, BOLD), _cell(value), _cell(remark)]
        for name, value, remark in context["everybody"]
    ]
    head = [_cell(_("Pair"), SMALL), _cell(_("Cohen's kappa"), SMALL), _cell("", SMALL)]
    top = [_cell(_("Everybody"), SMALL), _cell("", SMALL), _cell("", SMALL)]
    left = _ruled([head, *pairs], [third * share for share in (0.2, 0.42, 0.38)])
    right = _ruled([top, *every], [third * share for share in (0.4, 0.33, 0.27)])
    both = Table([[left, right]], colWidths=[WIDTH / 2, WIDTH / 2])
    both.setStyle(
        TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)])
    )
    return both


def _acceptance(context: dict[str, Any]) -> Table:
    head = [_("Figure"), _("acceptable"), _("marginal"), _("unacceptable")]
    rows = [[_cell(word) for word in row] for row in context["acceptance"]]
    note = _("Common practice, from memory; your customer or your own procedure decides.")
    table: list[list[Any]] = [
        [_cell(word, SMALL) for word in head],
        *rows,
        [_cell(note, SMALL), "", "", ""],
    ]
    ruled = _ruled(table, [WIDTH / 4] * 4)
    ruled.setStyle(TableStyle([("SPAN", (0, -1), (-1, -1))]))
    return ruled


def _cell(words: str, style: ParagraphStyle = CELL) -> Paragraph:
    return Paragraph(escape(str(words)), style)


def _ruled(rows: Sequence[Sequence[Any]], widths: list[float]) -> Table:
    table = Table([list(row) for row in rows], colWidths=widths, repeatRows=1)
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 4),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
                ("LINEBELOW", (0, 1), (-1, -2), 0.3, EDGE),
            ]
        )
    )
    return table


def _figure(read: StudyReading) -> Flowable:
    judges, parts = read.answers.judges, read.parts
    if len(parts) <= ONE_COLUMN:
        return AnswerRows(parts, judges, WIDTH)
    width, block = WIDTH / 2 - 4 * mm, 2 * ONE_COLUMN
    rows = []
    for start in range(0, len(parts), block):
        own = parts[start : start + block]
        half = (len(own) + 1) // 2
        rows.append([AnswerRows(own[:half], judges, width), AnswerRows(own[half:], judges, width)])
    # Rows of a table part between pages, so that a long study flows on.
    columns = Table(rows, colWidths=[WIDTH / 2, WIDTH / 2])
    columns.setStyle(
        TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)])
    )
    return columns


def _title_block(
    canvas: Canvas, study: AgreementStudy, made_for: str, moment: dt.datetime, page: int
) -> None:
    pattern = pgettext("pattern of a moment", "j M Y, H:i")
    cells = [
        (_("Page"), f"{_('Agreement study')} {study.number}"),
        (_("As of"), format_date(timezone.localtime(moment), pattern)),
        (_("Of what"), str(study.get_basis_display())),
        (_("Made for"), made_for),
        (_("Sheet"), str(page)),
    ]
    widths = [WIDTH * share for share in (0.3, 0.2, 0.2, 0.2, 0.1)]
    canvas.saveState()
    canvas.setStrokeColor(EDGE)
    canvas.setLineWidth(0.6)
    x, y, height = MARGIN + INSET, 12 * mm, 10 * mm
    canvas.rect(x, y, WIDTH, height)
    for place, ((label, words), width) in enumerate(zip(cells, widths, strict=True)):
        if place:
            canvas.line(x, y, x, y + height)
        canvas.setFillColor(SOFT)
        canvas.setFont(REGULAR, 6.5)
        canvas.drawString(x + 5, y + height - 9, writable(label))
        canvas.setFillColor(INK)
        canvas.setFont(REGULAR, 8.5)
        canvas.drawString(x + 5, y + 6, writable(words[:34]))
        x += width
    canvas.restoreState()
