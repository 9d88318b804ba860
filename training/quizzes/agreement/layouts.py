"""A sheet of answers in its wide or its long layout, read into one full block or into problems."""

import hashlib
from dataclasses import dataclass, field

from django.utils.translation import gettext_lazy

from training.people.sheets.files import plain
from training.people.sheets.problems import Problem, Words, worded
from training.people.sheets.table import Row, Table
from training.quizzes.agreement.columns import ANSWER, LONG, person_and_round

Key = tuple[str, str, int]


@dataclass
class StudyItem:
    """One study as its sheet gives it: parts and people in the order of the sheet."""

    name: str = ""
    parts: dict[str, Row] = field(default_factory=dict)
    references: dict[str, str] = field(default_factory=dict)
    judges: dict[str, str] = field(default_factory=dict)
    answers: dict[Key, str] = field(default_factory=dict)

    @property
    def rounds(self) -> int:
        return max((number for _part, _judge, number in self.answers), default=0)

    @property
    def digest(self) -> str:
        """Forty characters that are the same for the same answers, in whatever layout they came."""
        rows = sorted(
            (part, self.judges[judge], str(number), answer, self.references[part])
            for (part, judge, number), answer in self.answers.items()
        )
        return hashlib.sha256(repr(rows).encode()).hexdigest()[:40]


def whole(table: Table, message: Words, remedy: Words) -> None:
    table.problems.append(Problem(None, "", "", message, remedy, table.name))


def is_wide(table: Table) -> bool:
    return any(key.startswith(ANSWER) for key in table.headers)


def layout_is_clear(table: Table) -> bool:
    """Note where a sheet has neither layout, both, or half of the long one."""
    long = [key for key in LONG if key in table.headers]
    if is_wide(table):
        if long:
            table.problem(
                None,
                long[0],
                gettext_lazy("The sheet has columns of both layouts."),
                gettext_lazy(
                    "Keep one column for each person and round, or one row for each answer."
                ),
            )
        return not long
    if len(long) < len(LONG):
        whole(
            table,
            gettext_lazy("The sheet has no answers."),
            gettext_lazy(
                "Head one column for each person and round: A-1, A-2, B-1 …; or give the columns "
                "Person, Round and Answer."
            ),
        )
    return len(long) == len(LONG)


def read_wide(table: Table, item: StudyItem) -> None:
    columns: dict[str, tuple[str, int]] = {}
    for key, header in table.headers.items():
        found = person_and_round(header) if key.startswith(ANSWER) else None
        if found is not None:
            columns[key] = (plain(found[0]), found[1])
            item.judges.setdefault(plain(found[0]), found[0])
    for row in table.rows:
        label = row.get("part")
        if label is None or not _new_part(table, item, row, label):
            continue
        for key, (judge, number) in columns.items():
            if row.has(key):
                item.answers[label, judge, number] = row.get(key)


def _new_part(table: Table, item: StudyItem, row: Row, label: str) -> bool:
    first = item.parts.setdefault(label, row)
    if first is not row:
        table.problem(
            row,
            "part",
            worded(gettext_lazy("The part stands in row {row} already."), row=first.number),
            gettext_lazy("Keep one row for each part, with all its answers."),
        )
        return False
    item.references[label] = row.get("reference", "")
    return True


def read_long(table: Table, item: StudyItem) -> None:
    first: dict[Key, Row] = {}
    for row in table.rows:
        label, judge, number = row.get("part"), row.get("judge"), row.get("round")
        empty = [key for key in LONG if key not in row.values and _is_blank(table, row, key)]
        for key in empty:
            table.problem(
                row,
                key,
                gettext_lazy("The cell is empty."),
                gettext_lazy("Every row needs this value."),
            )
        if label is None or judge is None or number is None or not row.has("answer"):
            continue
        item.judges.setdefault(plain(judge), judge)
        _same_reference(table, item, row, label)
        place = (label, plain(judge), number)
        before = first.setdefault(place, row)
        if before is not row:
            table.problem(
                row,
                "answer",
                worded(
                    gettext_lazy("This person's round of this part stands in row {row} already."),
                    row=before.number,
                ),
                gettext_lazy("Keep one of the two, or correct the round."),
            )
        item.answers[place] = row.get("answer")


def _is_blank(table: Table, row: Row, key: str) -> bool:
    place = table.places[key]
    return place >= len(row.cells) or row.cells[place] is None


def _same_reference(table: Table, item: StudyItem, row: Row, label: str) -> None:
    given = row.get("reference", "")
    first = item.parts.setdefault(label, row)
    known = item.references.setdefault(label, given)
    if given and known and given != known:
        table.problem(
            row,
            "reference",
            worded(gettext_lazy("Row {row} gives the part another reference."), row=first.number),
            gettext_lazy("A part has one reference: correct one of the two."),
        )


def take_name(table: Table, item: StudyItem) -> None:
    """Take the study's name from its column, which must say the same in every row that has it."""
    named = [row for row in table.rows if row.has("study")]
    if not named:
        return
    item.name = named[0].get("study")
    other = next((row for row in named if row.get("study") != item.name), None)
    if other is not None:
        table.problem(
            other,
            "study",
            gettext_lazy("One file holds one study; another name stands above."),
            gettext_lazy("Give each study its own file, or every row the same name."),
        )


def check_full(table: Table, item: StudyItem) -> None:
    """Note every round that a person lacks: all people judge all parts equally often."""
    if table.problems:
        return
    if len(item.parts) < 2:
        whole(
            table,
            gettext_lazy("A study needs at least two parts."),
            gettext_lazy("Send the sheet with all its parts."),
        )
    every = range(1, item.rounds + 1)
    for judge, name in item.judges.items():
        have = {number for _part, own, number in item.answers if own == judge}
        lacking = [number for number in every if number not in have]
        if lacking:
            whole(
                table,
                worded(
                    gettext_lazy("{person} has no round {round}."), person=name, round=lacking[0]
                ),
                gettext_lazy(
                    "Everybody judges every part equally often: add it, or leave it out of all."
                ),
            )
    if table.problems:
        return
    for label, row in item.parts.items():
        for judge, name in item.judges.items():
            for number in every:
                if (label, judge, number) not in item.answers:
                    table.problem(
                        row,
                        "part",
                        worded(
                            gettext_lazy("The answer of {person} in round {round} is missing."),
                            person=name,
                            round=number,
                        ),
                        gettext_lazy("Everybody judges every part equally often: add its row."),
                    )
