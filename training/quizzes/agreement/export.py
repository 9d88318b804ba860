"""A study's answers as a sheet in the wide layout, which can be loaded again."""

import csv
import io

import openpyxl
from django.utils.translation import gettext as _

from training.people.sheets.cells import harmless
from training.quizzes.models import AgreementStudy
from training.quizzes.selectors.studies import StudyTable

# A byte-order mark makes spreadsheet programs open the file with its accents.
MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"


def sheet_rows(study: AgreementStudy, table: StudyTable) -> list[list[str]]:
    """Return a header row, then one row for each part: name, part, reference, every answer."""
    if table.answers is None:
        return []
    word = {True: _("accept"), False: _("reject")}
    rounds = range(1, table.rounds + 1)
    head = [_("Study"), _("Part"), _("Reference")]
    head += [f"{judge.label}-{number}" for judge in table.judges for number in rounds]
    rows = [
        [study.name, label, word[reference], *(word[each] for own in accepted for each in own)]
        for label, reference, accepted in zip(
            table.answers.parts, table.answers.reference, table.answers.accepted, strict=True
        )
    ]
    return [head, *([harmless(cell) for cell in row] for row in rows)]


def csv_sheet(study: AgreementStudy, table: StudyTable) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(sheet_rows(study, table))
    return (MARK + text.getvalue()).encode()


def xlsx_sheet(study: AgreementStudy, table: StudyTable) -> bytes:
    """Return a workbook: the answers, and who the letters are."""
    book = openpyxl.Workbook(write_only=True)
    answers = book.create_sheet(_("Answers"))
    for row in sheet_rows(study, table):
        answers.append(row)
    people = book.create_sheet(_("People"))
    people.append([_("Letter"), _("Name")])
    for judge in table.judges:
        people.append([judge.label, harmless(judge.person.name) if judge.person else ""])
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()
