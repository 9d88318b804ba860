"""The columns of a sheet of answers, in either of its two layouts, in English and Spanish."""

import re

from django.utils.translation import gettext_lazy as _

from training.people.sheets.files import plain
from training.people.sheets.problems import Words
from training.people.sheets.table import Column
from training.people.sheets.values import choice, text, whole
from training.specimens.models import ReferenceDecision

ACCEPT, REJECT = ReferenceDecision.Decision.ACCEPT, ReferenceDecision.Decision.REJECT
MOST_ROUNDS = 20
ANSWER = "answer:"
LONG = ("judge", "round", "answer")

# Words that say in either language what the part is; those that could mean both are left out.
ANSWERS = {
    **dict.fromkeys(
        ("1", "accept", "accepted", "a", "ok", "good", "go", "pass", "passed", "conforming"), ACCEPT
    ),
    **dict.fromkeys(
        ("aceptar", "acepta", "aceptada", "aceptado", "aceptable", "buena", "bueno", "conforme"),
        ACCEPT,
    ),
    **dict.fromkeys(
        ("0", "reject", "rejected", "r", "nok", "not ok", "ng", "bad", "no go", "fail", "failed"),
        REJECT,
    ),
    **dict.fromkeys(
        ("rechazar", "rechaza", "rechazada", "rechazado", "mala", "malo", "no conforme", "no ok"),
        REJECT,
    ),
    "nonconforming": REJECT,
}
ANSWERS_KNOWN = _("accept, reject; or 1, 0")
read_answer = choice(ANSWERS, of=_("answers"), known=ANSWERS_KNOWN)

PART = Column(
    "part",
    ("Part", "Part number", "Part no", "Specimen"),
    ("Pieza", "Número de pieza", "No. de pieza", "Espécimen"),
    text(40),
    needed=True,
    filled=True,
)
REFERENCE = Column(
    "reference",
    ("Reference", "Reference decision", "Ref"),
    ("Referencia", "Decisión de referencia"),
    read_answer,
    needed=True,
    filled=True,
    explains=_("What the part is: accept or reject, or 1 or 0."),
)
NAME = Column(
    "study",
    ("Study", "Study name"),
    ("Estudio", "Nombre del estudio"),
    text(120),
    explains=_("A name for the study, the same in every row; without it the file's name."),
)
LONG_COLUMNS = (
    Column(
        "judge",
        ("Person", "Judge", "Inspector", "Appraiser"),
        ("Persona", "Quien juzga", "Inspección"),
        text(40),
        explains=_("Who answered."),
    ),
    Column(
        "round",
        ("Round", "Trial", "Repeat"),
        ("Ronda", "Repetición", "Prueba"),
        whole(1, MOST_ROUNDS),
        explains=_("1 for the first time, 2 for the second …"),
    ),
    Column(
        "answer",
        ("Answer", "Decision", "Judgement"),
        ("Respuesta", "Decisión", "Juicio"),
        read_answer,
        explains=_("accept or reject, or 1 or 0."),
    ),
)
STUDY_COLUMNS = (PART, REFERENCE, *LONG_COLUMNS, NAME)


def _example(header: str, explains: Words = "") -> Column:
    return Column(header, (header,), (header,), read_answer, explains=explains)


# What the page shows of the two layouts.
WIDE_SHOWN = (
    PART,
    REFERENCE,
    _example(
        "A-1",
        _(
            "One column for each person and round, headed by the person's letter or name and the round."
        ),
    ),
    _example("A-2"),
    _example("B-1"),
    _example("B-2"),
    NAME,
)
LONG_SHOWN = (PART, REFERENCE, *LONG_COLUMNS, NAME)

_WORD = r"(?:trial|round|repeat|ronda|repetici[oó]n|prueba|vez)?"
_HEADER = re.compile(rf"(.*?\S)[\s_/.:–-]*{_WORD}[\s_/.:–-]*(\d{{1,2}})", re.IGNORECASE)


def person_and_round(header: str) -> tuple[str, int] | None:
    """Return whose answers a column of the wide layout holds and of which round, or None.

    Understood are A1, A-1, A 1, Ana/2, "Ana, round 2": the round is the number at the end.
    """
    match = _HEADER.fullmatch(header.strip())
    if match is None:
        return None
    person, number = match[1].strip(" ,;"), int(match[2])
    if not plain(person) or not 1 <= number <= MOST_ROUNDS:
        return None
    return person, number


def answer_column(header: str) -> Column | None:
    """Return the column of a person's round from its header, or None for any other header."""
    found = person_and_round(header)
    if found is None:
        return None
    person, number = found
    key = f"{ANSWER}{plain(person)}:{number}"
    return Column(key, (header,), (header,), read_answer, filled=True)
