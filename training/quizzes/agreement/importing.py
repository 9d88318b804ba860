"""Loading a study's answers from a sheet, wide or long: all of it, or nothing and every problem."""

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from pathlib import PurePath

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from training.people.models import ChainHead, Person
from training.people.record.chain import append
from training.people.record.models import PLANT
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import (
    MAIN,
    NEW,
    SAME,
    Change,
    Detail,
    Import,
    NotCleanError,
    Outcome,
    Plan,
    SheetFile,
)
from training.people.sheets.problems import Words, worded
from training.people.sheets.table import Row, read_table
from training.quizzes.agreement.columns import (
    ACCEPT,
    LONG_SHOWN,
    STUDY_COLUMNS,
    WIDE_SHOWN,
    answer_column,
)
from training.quizzes.agreement.layouts import (
    StudyItem,
    check_full,
    is_wide,
    layout_is_clear,
    read_long,
    read_wide,
    take_name,
    whole,
)
from training.quizzes.agreement.precision import USUAL_PARTS, USUAL_PEOPLE, USUAL_REPEATS
from training.quizzes.models import AgreementStudy, StudyAnswer, StudyJudge, StudyPart
from training.quizzes.services.studies import next_study_number

FILE = AgreementStudy.Basis.FILE
LONG_LAYOUT = "long"


def check_study(
    files: Mapping[str, SheetFile], *, order: DayOrder, by: Person | None, today: dt.date
) -> Plan[StudyItem]:
    """Read a sheet of answers and say what study it would make. Costs one query."""
    file = files[MAIN]
    table = read_table(
        file.data, file_name=file.name, columns=STUDY_COLUMNS, order=order, dynamic=answer_column
    )
    plan: Plan[StudyItem] = Plan([table])
    if by is None:
        whole(table, gettext_lazy("It is not said who loads the study."), _WHO)
    if not table.rows or not layout_is_clear(table):
        return plan
    item = StudyItem(name=PurePath(file.name).stem)
    read = read_wide if is_wide(table) else read_long
    read(table, item)
    take_name(table, item)
    check_full(table, item)
    if plan.problems:
        return plan
    known = AgreementStudy.objects.filter(basis=FILE, seed=item.digest).first()
    plan.items.append(item)
    plan.changes.extend(_change(item, label, row, known) for label, row in item.parts.items())
    plan.notes.extend(_notes(item, known))
    return plan


_WHO = gettext_lazy("Give the personnel number of who loads it: --by.")


def _change(item: StudyItem, label: str, row: Row, known: AgreementStudy | None) -> Change:
    details = tuple(
        Detail(name, "", _counted(item, label, judge)) for judge, name in item.judges.items()
    )
    return Change(row.number, label, _word(item.references[label]), SAME if known else NEW, details)


def _word(answer: str) -> str:
    return _("accept") if answer == ACCEPT else _("reject")


def _counted(item: StudyItem, label: str, judge: str) -> str:
    """Return "3 accept" or "2 accept, 1 reject"."""
    counts = Counter(item.answers[label, judge, n] for n in range(1, item.rounds + 1))
    return ", ".join(f"{count} {_word(answer)}" for answer, count in sorted(counts.items()))


def _notes(item: StudyItem, known: AgreementStudy | None) -> list[Words]:
    if known is not None:
        return [
            worded(
                gettext_lazy("These answers stand here already as {number}."), number=known.number
            )
        ]
    notes: list[Words] = []
    if len(set(item.references.values())) < 2:
        notes.append(gettext_lazy("The study needs both good and bad parts for a verdict."))
    if (
        len(item.parts) < USUAL_PARTS
        or len(item.judges) < USUAL_PEOPLE
        or item.rounds < USUAL_REPEATS
    ):
        notes.append(
            worded(
                gettext_lazy(
                    "Smaller than the usual {parts} parts, {people} people and {repeats} rounds: "
                    "its intervals are wide."
                ),
                parts=USUAL_PARTS,
                people=USUAL_PEOPLE,
                repeats=USUAL_REPEATS,
            )
        )
    return notes


def write_study(
    plan: Plan[StudyItem], *, by: Person | None, moment: dt.datetime, today: dt.date
) -> Outcome:
    """Write the study of a plan without problems, with every answer as a fact, in one transaction.

    Raises
    ------
    NotCleanError
        If the plan has problems.
    """
    if plan.problems or by is None:
        raise NotCleanError(plan)
    (item,) = plan.items
    with transaction.atomic():
        ChainHead.objects.select_for_update().filter(name=PLANT).first()
        study = _write(item, plan.tables[0].name, by, moment)
    parts = ngettext("%(n)d part", "%(n)d parts", len(item.parts)) % {"n": len(item.parts)}
    people = ngettext("%(n)d person", "%(n)d people", len(item.judges)) % {"n": len(item.judges)}
    return Outcome(f"{study.number}, {study.name}: {parts}, {people}")


def _write(item: StudyItem, file_name: str, by: Person, moment: dt.datetime) -> AgreementStudy:
    study = AgreementStudy(
        number=next_study_number(),
        name=item.name[:120],
        basis=FILE,
        repeats=item.rounds,
        gap_hours=0,
        note=file_name[:400],
        seed=item.digest,
        opened_at=moment,
        opened_by=by,
        closed_at=moment,
        closed_by=by,
    )
    study.full_clean()
    study.save()
    parts = {
        label: StudyPart(
            study=study, position=position, label=label, reference=item.references[label]
        )
        for position, label in enumerate(item.parts, start=1)
    }
    judges = {
        judge: StudyJudge(study=study, position=position, label=name)
        for position, (judge, name) in enumerate(item.judges.items(), start=1)
    }
    StudyPart.objects.bulk_create(parts.values())
    StudyJudge.objects.bulk_create(judges.values())
    answers = [
        StudyAnswer(
            part=parts[label], judge=judges[judge], number=number, answer=answer, recorded_by=by
        )
        for (label, judge, number), answer in item.answers.items()
    ]
    append(*answers, chain=f"study:{study.pk}", moment=moment)
    return study


STUDY = Import(
    kind="study",
    title=gettext_lazy("Load an agreement study"),
    lead=gettext_lazy(
        "Answers from elsewhere: one row for each part, with a column for each person and round; or one "
        "row for each answer."
    ),
    route="quizzes:study_import",
    done_route="quizzes:study_list",
    sheets={MAIN: WIDE_SHOWN, LONG_LAYOUT: LONG_SHOWN},
    further={},
    layouts={LONG_LAYOUT: gettext_lazy("one row for each answer")},
    check=check_study,
    write=write_study,
)
