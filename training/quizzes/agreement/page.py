"""What the page and the sheet of a study show once no more rounds come."""

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from training.quizzes.agreement.reading import StudyReading, read_study
from training.quizzes.agreement.step_words import next_steps
from training.quizzes.agreement.words import (
    all_rows,
    finding,
    pair_rows,
    person_rows,
    prevalence_remark,
    sign_key,
    table_of_acceptance,
    verdict_sentence,
    verdict_word,
)
from training.quizzes.selectors.studies import StudyProgress, StudyTable, study_table


def result_context(progress: StudyProgress) -> dict[str, Any]:
    """Return what the page shows of the result; `result` is None where nobody finished a round."""
    table = study_table(progress)
    if table.answers is None:
        return {"result": None, "table": table}
    read = read_study(table.answers)
    links = _links(table)
    return {
        "result": read,
        "table": table,
        "verdict": verdict_word(read.figures.verdict),
        "verdict_sign": sign_key(read.figures.verdict),
        "sentence": verdict_sentence(read),
        "people": person_rows(read, table.judges),
        "pairs": pair_rows(read),
        "everybody": all_rows(read),
        "prevalence": prevalence_remark(read),
        "acceptance": table_of_acceptance(),
        "steps": [
            {"text": step.text, "parts": [(part, links.get(part, "")) for part in step.parts]}
            for step in next_steps(read, table.judges)
        ],
        "panel": panel_address(read, table),
        "figure": figure_of(read, table),
    }


def _links(table: StudyTable) -> dict[str, str]:
    return {
        part.label: reverse("specimens:specimen_detail", args=[part.specimen_id])
        for part in table.parts
        if part.specimen_id
    }


def panel_address(read: StudyReading, table: StudyTable) -> str:
    """Return where a panel round with the disputed specimens is opened, "" where there are none."""
    disputed = {part.label for part in read.disputed}
    chosen = [
        str(part.specimen_id) for part in table.parts if part.specimen_id and part.label in disputed
    ]
    if not chosen:
        return ""
    query = "&".join(f"specimen={key}" for key in chosen)
    return f"{reverse('specimens:panel_open')}?{query}"


def figure_of(read: StudyReading, table: StudyTable) -> dict[str, Any]:
    """Return the study's own figure: one row a part, the most disputed first."""
    links = _links(table)
    word = {True: _("accept"), False: _("reject")}
    head = [_("part"), _("reference"), *(judge.label for judge in table.judges), _("differ")]
    return {
        "key": "agreement",
        "question": _("On which parts do people differ, and who?"),
        "method": _(
            "Accepted stands above the line, rejected hangs below; thick where it is not the reference."
        ),
        "title": _("Answers by part and person"),
        "finding": finding(read),
        "judges": [judge.label for judge in table.judges],
        "rows": [
            {
                "label": part.label,
                "href": links.get(part.label, ""),
                "reference": part.reference,
                "accepted": part.accepted,
                "note": _("%(against)d of %(of)d") % {"against": part.against, "of": part.of}
                if part.against
                else "",
            }
            for part in read.parts
        ],
        "table": {
            "head": head,
            "rows": [
                [
                    part.label,
                    word[part.reference],
                    *(" ".join(word[answer] for answer in own) for own in part.accepted),
                    part.against,
                ]
                for part in read.parts
            ],
        },
    }
