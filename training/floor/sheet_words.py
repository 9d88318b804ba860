"""A job's sheet in the words of one language: limits with their reasons, the tag beside the sheet."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from training.floor.limit_rulings import Ruling, SourceKind
from training.floor.limit_words import (
    judged_by_text,
    line_text,
    ruling_text,
    source_text,
    unit_text,
)
from training.floor.limits import Line, Measure
from training.floor.models import FirstPiece, Job, WorkInstruction, Zone
from training.floor.selectors import FamilyLimits, LimitDraft, ZoneLimits
from training.people.texts import in_language


@dataclass(frozen=True, slots=True)
class LineWords:
    """One ruling line: what holds, why, what it overrules, and how it is judged."""

    text: str
    source: str
    over: tuple[str, ...]
    judged_by: str
    kind: str
    ask_quality: bool


@dataclass(frozen=True, slots=True)
class FamilyWords:
    """What holds of one family in one zone."""

    slug: str
    name: str
    critical: bool
    lines: tuple[LineWords, ...]


@dataclass(frozen=True, slots=True)
class ZoneWords:
    """One zone of the part: what this job itself sets there, the site's rest, what has no limit."""

    zone: str
    label: str
    place: str
    own: tuple[FamilyWords, ...]
    general: tuple[FamilyWords, ...]
    unlimited: tuple[str, ...]


def zone_words(zones: Iterable[ZoneLimits], language: str) -> list[ZoneWords]:
    """Return the limits of every zone in words; a family that an alert speaks of stands first."""
    found = []
    for zone in zones:
        limited = [row for row in zone.families if not _is_free(row.rulings)]
        words = [(_is_general(row.rulings), _family(row, language)) for row in limited]
        own = sorted(
            (family for general, family in words if not general),
            key=lambda family: not _alerted(family),
        )
        found.append(
            ZoneWords(
                zone.zone,
                str(Zone(zone.zone).label),
                in_language(zone.place, language),
                tuple(own),
                tuple(family for general, family in words if general),
                tuple(
                    in_language(row.family.name, language)
                    for row in zone.families
                    if _is_free(row.rulings)
                ),
            )
        )
    return found


def _is_free(rulings: tuple[Ruling, ...]) -> bool:
    return all(ruling.line.measure is Measure.ANY for ruling in rulings)


def _is_general(rulings: tuple[Ruling, ...]) -> bool:
    return all(ruling.source.kind is SourceKind.GENERAL for ruling in rulings)


def _family(row: FamilyLimits, language: str) -> FamilyWords:
    return FamilyWords(
        row.family.slug,
        in_language(row.family.name, language),
        row.level == "critical",
        tuple(_line(ruling, language) for ruling in row.rulings),
    )


def _alerted(family: FamilyWords) -> bool:
    return any(line.kind == SourceKind.ALERT for line in family.lines)


def _line(ruling: Ruling, language: str) -> LineWords:
    return LineWords(
        ruling_text(ruling, language),
        source_text(ruling.source, language),
        tuple(
            f"{line_text(over.line, language)} ({source_text(over.source, language)})"
            for over in ruling.over
        ),
        judged_by_text(ruling.line.judged_by, language),
        str(ruling.source.kind),
        ruling.no_valid_sample,
    )


@dataclass(frozen=True, slots=True)
class TagRow:
    """One field of the first piece's tag beside what the job's sheet says of it."""

    label: str
    sheet: str
    tag: str
    differs: bool


def tag_rows(piece: FirstPiece, job: Job, revision: str) -> list[TagRow]:
    """Compare the tag of a first piece with the job: what differs does not let the run start."""
    tag = {str(key): str(value) for key, value in piece.tag.items() if value not in (None, "")}
    presses = [job.press.code] if job.press else []
    presses += [press.code for press in job.alternates.all()]
    rows = [
        _compared(
            _("Work instruction"), [revision] if revision else [], tag.pop("wi_revision", "")
        ),
        _compared(_("Tool"), [job.tool] if job.tool else [], tag.pop("tool", "")),
        _compared(_("Press"), presses, tag.pop("press", "")),
    ]
    rows += [
        TagRow(label, "–", tag[key], differs=False)
        for key, label in _labels().items()
        if key in tag
    ]
    return rows


def _compared(label: str, allowed: list[str], written: str) -> TagRow:
    differs = bool(allowed) and written not in allowed
    return TagRow(label, " / ".join(allowed) or "–", written or "–", differs)


def _labels() -> dict[str, str]:
    return {
        "run": _("Run"),
        "reason": _("Approved because of"),
        "cavities": _("Cavities"),
        "material": _("Material"),
        "lot": _("Lot"),
        "masterbatch": _("Masterbatch"),
        "drawing": _("Drawing"),
        "limits": _("Limits used"),
        "remarks": _("Remarks"),
        "valid_until": _("Valid until"),
    }


@dataclass(frozen=True, slots=True)
class MarkWords:
    """One of the inspector's marks: where it lies on the picture, in per cent, and its note."""

    number: int
    x: str
    y: str
    note: str


def mark_words(piece: FirstPiece, language: str) -> list[MarkWords]:
    return [
        MarkWords(
            number,
            f"{100 * float(mark['x']):.2f}%",
            f"{100 * float(mark['y']):.2f}%",
            in_language(mark.get("note"), language),
        )
        for number, mark in enumerate(piece.marks, start=1)
    ]


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of a sheet in the list that leads to its change; `place` is its place in the sheet."""

    place: int
    zone: str
    family: str
    text: str


def line_rows(draft: LimitDraft, language: str) -> list[LineRow]:
    """Return the lines of the revision in force, zone by zone."""
    names = {family.slug: in_language(family.name, language) for family, _level in draft.families}
    rows = [
        LineRow(
            place,
            str(Zone(line.zone).label),
            names.get(line.family, line.family),
            line_text(line, language),
        )
        for place, line in enumerate(draft.lines)
    ]
    order = list(Zone.values)
    return sorted(rows, key=lambda row: order.index(draft.lines[row.place].zone))


@dataclass(frozen=True, slots=True)
class LimitFollows:
    """What saving a limit would change: words before and after, and its ruler beside the site's."""

    before: str
    after: str
    limit: float | None
    ceiling: float | None
    top: float
    unit: str


def site_counterpart(line: Line, general: Iterable[Line]) -> Line | None:
    """Return the site's general line that limits the same thing, or the only one of its kind."""
    alike = [
        other
        for other in general
        if other.covers(line.family, line.zone)
        and (other.measure, other.unit, other.compare_to)
        == (line.measure, line.unit, line.compare_to)
    ]
    same = [other for other in alike if other.feature == line.feature]
    if same:
        return same[0]
    return alike[0] if len(alike) == 1 else None


def limit_follows(
    new: Line, replaced: Line | None, general: Iterable[Line], language: str
) -> LimitFollows:
    """Return what a new line changes; the ruler only where a size is limited."""
    sized = new.measure in (Measure.AT_MOST, Measure.COUNT_AT_MOST) and new.value is not None
    site = site_counterpart(new, general)
    limit = new.value if sized else None
    ceiling = site.value if sized and site is not None else None
    return LimitFollows(
        before=line_text(replaced, language) if replaced is not None else "",
        after=line_text(new, language),
        limit=limit,
        ceiling=ceiling,
        # Room for the words at the right of the longer one.
        top=2 * max(limit or 0, ceiling or 0),
        unit=unit_text(new, language),
    )


def step_words(sheet: WorkInstruction | None, language: str) -> list[str]:
    """Return the steps of work in the reader's language, or in the one there is."""
    steps: dict[str, list[str]] = sheet.steps if sheet is not None else {}
    return steps.get(language) or next((words for words in steps.values() if words), [])


def language_code() -> str:
    """Return the language of this reader: en or es."""
    return (get_language() or "en").split("-")[0]


def next_revision(revision: str) -> str:
    """Return the revision that follows: F after E, AA after Z, 10 after 9, C2 after C1."""
    digits = len(revision) - len(revision.rstrip("0123456789"))
    if digits:
        head, number = revision[:-digits], revision[-digits:]
        return f"{head}{int(number) + 1:0{digits}d}"
    letters = revision.upper()
    kept = letters.rstrip("Z")
    if kept == "":
        return "A" * (len(letters) + 1)
    return kept[:-1] + chr(ord(kept[-1]) + 1) + "A" * (len(letters) - len(kept))
