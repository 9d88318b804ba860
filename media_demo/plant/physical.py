"""The numbered real parts on which the invented plant examined its people before it had pictures."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from media_demo.plant.bank import BAD_RATIOS, GOOD_RATIOS, critical_families, ratio_of, seed_of
from media_demo.plant.calendar import GO_LIVE, Calendar
from media_demo.plant.ledger import Ledger
from media_demo.plant.load_floor import Floor
from media_demo.plant.read import documents
from training.floor.models import LimitSample
from training.people.models import Person
from training.quizzes.models import Action
from training.specimens.models import (
    Condition,
    Handling,
    PartCopy,
    Pool,
    ReferenceDecision,
    Specimen,
)

# The critical block alone may ask one family for 29 clear parts, beside the eight of the group.
CRITICAL_BAD, ORDINARY_BAD, GOOD = 44, 24, 14
CLEAR_FROM = 1.5
# Their sheets changed six days before today; parts for them would have had to be decided again.
CHANGED_JOBS = frozenset({"103", "104"})
REGISTER_DAY = GO_LIVE - 20
PER_DRAWER, DRAWERS = 40, 8
# Common practice, no source: a gloss surface shows wear after some tens of hands.
MOST_HANDLINGS = 60
LAST_ROUND_DAY = -9
# Which part, and how it was found; the second copy of the lost one stands in.
FOUND = ((12, Condition.SOUND), (77, Condition.WORN), (140, Condition.WORN), (301, Condition.LOST))


@dataclass(frozen=True)
class _Kind:
    """A family with the jobs it is examined on and its limit there, if it has one in numbers."""

    slug: str
    jobs: tuple[tuple[str, str, float | None, str], ...]
    bad: int


def load_physical(
    calendar: Calendar, ledger: Ledger, people: dict[str, Person], floor: Floor
) -> int:
    """Register the parts and what quality decided of them; return how many there are."""
    specimens: list[Specimen] = []
    decided_at = calendar.moment(REGISTER_DAY, "10:00")
    for kind in _kinds():
        for bad, count in ((True, kind.bad), (False, GOOD)):
            for turn in range(count):
                job, zone, limit, unit = kind.jobs[turn % len(kind.jobs)]
                ratio = _ratio(kind, bad, turn, limit)
                specimen = Specimen(
                    number=f"N-{len(specimens) + 1:04d}",
                    job=floor.jobs[job],
                    zone=zone,
                    family=floor.families[kind.slug],
                    severity=None if ratio is None or limit is None else _decimal(ratio * limit),
                    unit=unit if ratio is not None else "",
                    pool=Pool.EXAM,
                    synthetic=False,
                    created_at=decided_at,
                    created_by=people["1042"],
                )
                specimens.append(specimen)
                decision = _decision(floor, job, specimen, bad=bad, ratio=ratio)
                ledger.add(decided_at, decision)
    Specimen.objects.bulk_create(specimens, batch_size=400)
    copies = [*_copies(calendar, specimens), *_sample_copies(calendar)]
    PartCopy.objects.bulk_create(copies, batch_size=400)
    _handlings(calendar, ledger, copies, people["1042"])
    return len(specimens)


def _copies(calendar: Calendar, specimens: list[Specimen]) -> Iterator[PartCopy]:
    """Yield two copies of each part: one that is used, one kept apart to compare it with."""
    registered = calendar.day(REGISTER_DAY)
    for place, specimen in enumerate(specimens):
        cabinet, drawer = divmod(place // PER_DRAWER, DRAWERS)
        # A few ran out or were used up: their second copy stands in until they are renewed.
        late = place % 211 == 100
        for letter, box in (("A", f"quality cabinet {cabinet + 3}"), ("B", "archive room")):
            ends = calendar.day(-3 if late and letter == "A" else 300 + place % 90)
            yield PartCopy(
                specimen=specimen,
                letter=letter,
                place=f"{box}, drawer {drawer + 1}",
                registered_day=registered,
                expires_day=ends,
                most_handlings=MOST_HANDLINGS,
            )


def _sample_copies(calendar: Calendar) -> Iterator[PartCopy]:
    """Yield the copies of the signed limit samples where the files say they are kept."""
    for sample in LimitSample.objects.all():
        places = [place.strip() for place in sample.place.split(";")]
        for number in range(sample.copies):
            yield PartCopy(
                limit_sample=sample,
                letter="AB"[number],
                place=places[min(number, len(places) - 1)],
                registered_day=sample.signed_day,
                expires_day=sample.expires_day,
            )


def _handlings(calendar: Calendar, ledger: Ledger, copies: list[PartCopy], by: Person) -> None:
    """Write what was found when the register was last gone through."""
    used = [copy for copy in copies if copy.letter == "A" and copy.specimen_id is not None]
    at = calendar.moment(LAST_ROUND_DAY, "09:00")
    for number, (place, condition) in enumerate(FOUND):
        ledger.add(
            at,
            Handling(
                copy=used[place],
                what=Handling.What.CHECKED,
                at=at + dt.timedelta(minutes=2 * number),
                condition=condition,
                recorded_by=by,
            ),
        )


def _decision(
    floor: Floor, job: str, specimen: Specimen, *, bad: bool, ratio: float | None
) -> ReferenceDecision:
    sheets = [sheet for (number, _), sheet in floor.sheets.items() if number == job]
    decisions = ReferenceDecision.Decision
    return ReferenceDecision(
        specimen=specimen,
        work_instruction=max(sheets, key=lambda sheet: sheet.day),
        decision=decisions.REJECT if bad else decisions.ACCEPT,
        family=specimen.family,
        action=Action.SEGREGATE if bad else Action.KEEP_RUNNING,
        basis=ReferenceDecision.Basis.QUALITY,
        severity_ratio=None if ratio is None else _decimal(ratio),
        clear=bad and (ratio is None or ratio >= CLEAR_FROM),
    )


def _kinds() -> list[_Kind]:
    critical = critical_families()
    jobs = [job for job in documents("jobs") if job["no"] not in CHANGED_JOBS]
    kinds = []
    for family in documents("families"):
        slug = family["slug"]
        places = tuple(
            place for job in jobs if slug in job["needs"] for place in _places(job, family)
        )
        kinds.append(_Kind(slug, places, CRITICAL_BAD if slug in critical else ORDINARY_BAD))
    return kinds


def _places(
    job: dict[str, Any], family: dict[str, Any]
) -> list[tuple[str, str, float | None, str]]:
    lines = [line for line in job["limits"] if line["family"] == family["slug"]]
    found: dict[str, tuple[str, str, float | None, str]] = {}
    for line in lines or family["limits"]:
        if line["measure"] in ("at_most", "count_at_most"):
            found[line["zone"]] = (job["no"], line["zone"], float(line["value"]), line["unit"])
        elif line["measure"] == "none":
            found.setdefault(line["zone"], (job["no"], line["zone"], None, ""))
    return [found[zone] for zone in sorted(found)] or [(job["no"], "*", None, "")]


def _ratio(kind: _Kind, bad: bool, turn: int, limit: float | None) -> float | None:
    """Return severity ÷ limit; parts of critical families are mostly clear, as the block wants."""
    if limit is None:
        return None
    seed = seed_of("physical", kind.slug, bad, turn)
    if not bad:
        return ratio_of(GOOD_RATIOS, turn, seed)
    if kind.bad == CRITICAL_BAD and turn % 5:
        return 1.6 + (seed % 1000) / 500
    return ratio_of(BAD_RATIOS, turn, seed)


def _decimal(value: float) -> Decimal:
    return Decimal(f"{value:.4f}")
