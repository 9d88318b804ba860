"""The limits of the invented plant, straight from its files, without a database."""

from dataclasses import replace
from datetime import date
from typing import Any

from media_demo.plant.read import documents, on, rows
from training.floor.limit_comparing import replaced_by
from training.floor.limit_rulings import (
    AlertLines,
    ConcessionLines,
    JobPapers,
    LimitSample,
    SampleKind,
)
from training.floor.limits import Line, parse_line


def read_general_lines() -> tuple[Line, ...]:
    """The site's general limits."""
    return tuple(
        parse_line(line, family["slug"])
        for family in documents("families")
        for line in family["limits"]
    )


def read_papers(today: date) -> dict[str, JobPapers]:
    """Everything that speaks about a job's limits on ``today``, by job number."""
    general = read_general_lines()
    alerts = [(alert["job"], _alert(alert, today)) for alert in documents("alerts")]
    concessions = rows("concessions")
    sheets = {
        job["no"]: tuple(parse_line(line) for line in job["limits"]) for job in documents("jobs")
    }
    samples = [(row["job_group"], _sample(row, today)) for row in rows("limit_samples")]
    return {
        job["no"]: JobPapers(
            job["work_instruction"]["revision"],
            sheets[job["no"]],
            general,
            tuple(alert for jobs, alert in alerts if job["no"] in jobs),
            tuple(
                _concession(row, sheets[job["no"]], today)
                for row in concessions
                if row["job"] == job["no"]
            ),
            tuple(sample for group, sample in samples if group == job["job_group"]),
        )
        for job in documents("jobs")
    }


def _alert(alert: dict[str, Any], today: date) -> AlertLines:
    return AlertLines(
        alert["no"],
        on(today, alert["start"]),
        on(today, alert["end"]),
        tuple(parse_line(line) for line in alert["tightens"]),
    )


def _concession(row: dict[str, str], sheet: tuple[Line, ...], today: date) -> ConcessionLines:
    line = parse_line(
        {
            "family": row["family"],
            "zone": row["zone"],
            "measure": row["measure"],
            "value": float(row["value"]),
            "unit": row["unit"],
            "feature": {"en": row["feature_en"], "es": row["feature_es"]},
            "judged_by": "eye",
        }
    )
    # The table does not say how it is judged: as the line of the sheet it takes the place of.
    (loosened,) = replaced_by(line, sheet)
    return ConcessionLines(
        row["concession"],
        on(today, row["from_day"]),
        on(today, row["to_day"]),
        (replace(line, judged_by=loosened.judged_by),),
        row["signed_by"],
        row["second_signature"],
        int(row["max_quantity"]) if row["max_quantity"] else None,
    )


def _sample(row: dict[str, str], today: date) -> LimitSample:
    return LimitSample(
        row["sample"],
        row["family"],
        row["zone"],
        SampleKind(row["kind"]),
        on(today, row["signed_day"]),
        on(today, row["expires_day"]),
    )
