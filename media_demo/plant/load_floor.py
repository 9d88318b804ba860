"""Loads the invented plant's floor: families, presses, jobs, limits, alerts and first pieces."""

from dataclasses import dataclass, field
from typing import Any

from media_demo.plant.calendar import Calendar
from media_demo.plant.read import documents, rows
from training.floor.limits import parse_line
from training.floor.models import (
    Alert,
    Caution,
    Concession,
    Family,
    FamilyGroup,
    FirstPiece,
    Gauge,
    GeneralLimits,
    Job,
    JobGroup,
    LimitLine,
    LimitSample,
    Press,
    Product,
    WorkInstruction,
)
from training.people.models import Person

GENERAL_SINCE = -400
# Seconds for which a part is looked at where quality has set a pace: the cycle by its cavities, in part.
PACES = {"101": 20, "102": 20, "108": 6, "109": 6, "115": 3}
SHORT_NAMES = {
    "short-shot": ("Short shot", "Pieza incompleta"),
    "flash": ("Flash", "Rebaba"),
    "weld-line": ("Weld line", "Línea de unión"),
    "flow-line": ("Flow line", "Línea de flujo"),
    "gloss": ("Gloss", "Brillo"),
    "drag-mark": ("Drag mark", "Marca de arrastre"),
    "gate-vestige": ("Gate vestige", "Vestigio de colada"),
    "sink": ("Sink", "Rechupe"),
    "splay": ("Splay", "Ráfagas"),
    "burn": ("Burn", "Quemadura"),
    "black-specks": ("Black specks", "Puntos negros"),
    "colour-shift": ("Colour", "Tono"),
    "warp": ("Warp", "Alabeo"),
    "ejector-mark": ("Ejector mark", "Marca de expulsor"),
    "scuff": ("Scuff", "Rayón"),
    "jetting": ("Jetting", "Chorro"),
    "void-bubble": ("Void", "Burbuja"),
    "delamination": ("Delamination", "Delaminación"),
    "stress-whitening": ("Whitening", "Blanqueo"),
    "crack": ("Crack", "Grieta"),
    "mismatch": ("Step", "Escalón"),
    "grease-oil": ("Grease or oil", "Grasa o aceite"),
    "insert": ("Insert", "Inserto"),
    "mixed-hands": ("Mixed hands", "Izquierda y derecha"),
    "wrong-label": ("Label", "Etiqueta"),
    "wrong-pack": ("Packing", "Empaque"),
}


@dataclass
class Floor:
    """What was loaded, by the codes of the files."""

    families: dict[str, Family] = field(default_factory=dict)
    presses: dict[str, Press] = field(default_factory=dict)
    job_groups: dict[str, JobGroup] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)
    sheets: dict[tuple[str, str], WorkInstruction] = field(default_factory=dict)
    alerts: dict[str, Alert] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    lines: list[LimitLine] = field(default_factory=list)


def load_floor(calendar: Calendar, people: dict[str, Person]) -> Floor:
    floor = Floor()
    load_families(calendar, floor)
    _load_presses(floor)
    load_cautions(floor)
    _load_jobs(calendar, floor, people)
    _load_alerts(calendar, floor, people)
    _load_papers(calendar, floor, people)
    for line in floor.lines:
        parse_line({**line.measure, "zone": line.zone})
    LimitLine.objects.bulk_create(floor.lines)
    return floor


def _both(english: str, spanish: str) -> dict[str, str]:
    return {"en": english, "es": spanish}


def load_families(calendar: Calendar, floor: Floor) -> None:
    groups = {
        row["group"]: FamilyGroup.objects.create(
            code=row["group"], name=_both(row["en"], row["es"]), position=position
        )
        for position, row in enumerate(rows("exam_groups"))
    }
    general = GeneralLimits.objects.create(revision="A", day=calendar.day(GENERAL_SINCE))
    for position, item in enumerate(documents("families")):
        level = item["level"]
        floor.families[item["slug"]] = Family.objects.create(
            slug=item["slug"],
            name=_both(item["name"], item["es"]),
            short_name=_both(*SHORT_NAMES[item["slug"]]),
            group=groups[item["group"]],
            position=position,
            judged_by=item["judged_by"],
            tested_with=item["tested_with"],
            place=item["place"],
            default_severity=item["sev"],
            always_critical=level["always_critical"],
            critical_when=level["critical_when"],
        )
        _add_lines(floor, item["limits"], {"general": general}, family=item["slug"])


def _add_lines(
    floor: Floor, lines: list[dict[str, Any]], source: dict[str, Any], family: str = ""
) -> None:
    for position, line in enumerate(lines):
        measure = {key: value for key, value in line.items() if key not in ("family", "zone")}
        floor.lines.append(
            LimitLine(
                family=floor.families[line.get("family", family)],
                zone=line["zone"],
                position=position,
                measure=measure,
                **source,
            )
        )


def _load_presses(floor: Floor) -> None:
    for row in rows("presses"):
        floor.presses[row["press"]] = Press.objects.create(
            code=row["press"], clamp_tonnes=int(row["clamp_tonnes"]), cell=row["cell"]
        )
    for row in rows("presses"):
        press = floor.presses[row["press"]]
        press.next_press = floor.presses.get(row["next_press"])
        press.save(update_fields=["next_press"])


def load_cautions(floor: Floor) -> None:
    for position, item in enumerate(documents("cautions")):
        floor.cautions[item["code"]] = Caution.objects.create(
            code=item["code"],
            title=_both(item["title"], item["titulo"]),
            text=_both(item["text"], item["texto"]),
            position=position,
        )


def _load_jobs(calendar: Calendar, floor: Floor, people: dict[str, Person]) -> None:
    products = {
        row["code"]: Product.objects.create(
            code=row["code"],
            name=_both(row["name"], row["name_es"]),
            appliance=_both(row["appliance"], row["appliance_es"]),
            customer=row["customer"],
            material=row["material"],
        )
        for row in rows("products")
    }
    for row in rows("job_groups"):
        floor.job_groups[row["job_group"]] = JobGroup.objects.create(code=row["job_group"])
    items = documents("jobs")
    for item in items:
        floor.jobs[item["no"]] = _job(floor, products, item)
    for item in items:
        job = floor.jobs[item["no"]]
        job.twin = floor.jobs.get(item["twin"] or "")
        job.save(update_fields=["twin"])
        job.alternates.set(floor.presses[code] for code in item["presses"]["alternates"])
        job.tended_with.set(floor.jobs[number] for number in item["may_be_tended_with"])
        job.cautions.set(floor.cautions[code] for code in item["cautions"])
        _load_sheets(calendar, floor, item)
        _load_first_piece(calendar, floor, people, item)


def _job(floor: Floor, products: dict[str, Product], item: dict[str, Any]) -> Job:
    return Job.objects.create(
        number=item["no"],
        part=item["part"],
        product=products[item["product"]],
        hand=item["hand"] or "",
        colour=item["colour"],
        group=floor.job_groups[item["job_group"]],
        tool=item["tool"],
        press=floor.presses[item["presses"]["normal"]],
        persons=item["persons"],
        cavities=item["cavities"],
        cycle_s=item["cycle_s"],
        pace_s=PACES.get(item["no"]),
        pack=item["pack"],
        zones=item["zones"],
        critical_job=item["critical_job"],
        critical_why=item["critical_why"],
        needs_colour_vision=item["needs_colour_vision"],
        needs_authorisation=item["needs_authorisation"],
        tell=item["tell"],
    )


def _load_sheets(calendar: Calendar, floor: Floor, item: dict[str, Any]) -> None:
    """Load the revisions of a job's sheet; of earlier ones only the revision and day are known."""
    current = item["work_instruction"]
    dated = sorted([*current["previous"], current], key=lambda sheet: sheet["day"])
    for place, sheet in enumerate(dated):
        floor.sheets[item["no"], sheet["revision"]] = WorkInstruction.objects.create(
            job=floor.jobs[item["no"]],
            revision=sheet["revision"],
            day=calendar.day(sheet["day"]),
            replaces_with_check=place > 0,
            steps=sheet.get("steps", {}),
            needs=item["needs"],
        )
    _add_lines(
        floor,
        item["limits"],
        {"work_instruction": floor.sheets[item["no"], current["revision"]]},
    )


def _load_first_piece(
    calendar: Calendar, floor: Floor, people: dict[str, Person], item: dict[str, Any]
) -> None:
    piece, tag = item["first_piece"], item["first_piece"]["tag"]
    FirstPiece.objects.create(
        job=floor.jobs[item["no"]],
        revision=piece["revision"],
        work_instruction=floor.sheets.get((item["no"], tag["wi_revision"])),
        approved_at=calendar.moment(tag["day"], tag["minute"]),
        approved_by=people[tag["approver"]],
        checked_by=people.get(tag["checked_by"]),
        tag={key: tag[key] for key in ("tool", "press", "run", "reason", "wi_revision")},
        marks=piece["marks"],
    )


def _load_alerts(calendar: Calendar, floor: Floor, people: dict[str, Person]) -> None:
    for item in documents("alerts"):
        alert = Alert.objects.create(
            number=item["no"],
            family=floor.families[item["family"]],
            zone=item["zone"] or "",
            written_day=calendar.day(item["written_day"]),
            from_day=calendar.day(item["start"]),
            to_day=calendar.day(item["end"]),
            text=item["text"],
            checks=item["checks"],
            tend_alone=item["tend_alone"],
            reason=item["reason"],
            written_by=people[item["written_by"]],
        )
        alert.jobs.set(floor.jobs[number] for number in item["job"])
        floor.alerts[item["no"]] = alert
        _add_lines(floor, item["tightens"], {"alert": alert})


def _load_papers(calendar: Calendar, floor: Floor, people: dict[str, Person]) -> None:
    for row in rows("gauges"):
        Gauge.objects.create(
            code=row["gauge"],
            name=_both(row["en"], row["es"]),
            calibration_due_day=calendar.day(row["calibration_due_day"]),
        )
    for row in rows("limit_samples"):
        LimitSample.objects.create(
            code=row["sample"],
            job_group=floor.job_groups[row["job_group"]],
            family=floor.families[row["family"]],
            zone=row["zone"],
            text=_both(row["en"], row["es"]),
            kind=row["kind"],
            copies=int(row["copies"]),
            place=row["place"],
            signed_day=calendar.day(row["signed_day"]),
            expires_day=calendar.day(row["expires_day"]),
            signed_by=people[row["signed_by"]],
            second_signature=row["second_signature"],
        )
    for row in rows("concessions"):
        concession = Concession.objects.create(
            number=row["concession"],
            job=floor.jobs[row["job"]],
            from_day=calendar.day(row["from_day"]),
            to_day=calendar.day(row["to_day"]),
            max_quantity=int(row["max_quantity"]),
            reason=row["reason"],
            signed_by=people[row["signed_by"]],
            second_signature=row["second_signature"],
        )
        line = {
            "family": row["family"],
            "zone": row["zone"],
            "measure": row["measure"],
            "value": float(row["value"]),
            "unit": row["unit"],
            "feature": _both(row["feature_en"], row["feature_es"]),
            "judged_by": "gauge",
            "level": "ordinary",
        }
        _add_lines(floor, [line], {"concession": concession})
