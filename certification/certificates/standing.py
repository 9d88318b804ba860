"""May this person run this job at this moment? One rule, every reason, no database."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from certification.certificates.standing_facts import (
    SITE_SAFETY,
    Asked,
    Block,
    Certificate,
    JobFacts,
    PersonFacts,
    Reading,
    ReadingKind,
    Rules,
    Sight,
    VisionCheck,
    WorkDay,
    plant_day,
)
from certification.certificates.standing_family import (
    FamilyStanding,
    Standing,
    family_reason,
    family_standing,
)
from certification.certificates.standing_reasons import (
    BUDDY_MAY_COVER,
    PRACTICE_CODES,
    Answer,
    BuddyBar,
    BuddyBarCode,
    BuddyRefusal,
    Detail,
    Reason,
    ReasonCode,
    Remedy,
    Verdict,
)
from certification.certificates.standing_table import StandingTable, table

__all__ = [
    "Answer",
    "Asked",
    "Block",
    "BuddyAnswer",
    "BuddyBar",
    "BuddyBarCode",
    "BuddyRefusal",
    "Detail",
    "FamilyStanding",
    "JobFacts",
    "PersonFacts",
    "Reason",
    "ReasonCode",
    "Remedy",
    "Rules",
    "Standing",
    "StandingTable",
    "Verdict",
    "buddy_may",
    "explain",
    "family_standing",
    "plant_day",
    "table",
]


@dataclass(frozen=True, slots=True)
class BuddyAnswer:
    """Whether somebody may be the named buddy, and everything that speaks against it.

    ``answer`` is the buddy's own answer on the job.
    """

    refusals: tuple[BuddyRefusal, ...]
    answer: Answer

    @property
    def may(self) -> bool:
        """True if nothing speaks against it."""
        return not self.refusals


def explain(person: PersonFacts, job: JobFacts, rules: Rules, asked: Asked) -> Answer:
    """Whether ``person`` may run ``job`` when ``asked``, with every reason against it.

    "Buddy" looks at this person's side only; whether a buddy stands there is `buddy_may`.
    """
    lasting = tuple(_lasting_reasons(person, job, rules, asked))
    reasons = lasting + tuple(_reading_reasons(person, job, rules, asked))
    bars = tuple(_buddy_bars(person, job, asked.day)) if reasons else ()
    if not reasons:
        verdict = Verdict.ALONE
    elif bars or any(reason.code not in BUDDY_MAY_COVER for reason in reasons):
        verdict = Verdict.NO
    else:
        verdict = Verdict.BUDDY
    return Answer(verdict, reasons, bars, _ends_during(person, job, rules, asked, lasting))


def buddy_may(
    buddy: PersonFacts,
    learner: PersonFacts,
    job: JobFacts,
    rules: Rules,
    asked: Asked,
    *,
    same_shift: bool,
    beside: bool,
) -> BuddyAnswer:
    """Whether ``buddy`` may be named for ``learner`` on ``job``: the other half of the rule.

    ``same_shift``: both stand in the same shift. ``beside``: the buddy stands at the same
    press or at the other one of the cell. Judged when the learner's turn begins; a break of
    the buddy does not end it.
    """
    answer = explain(buddy, job, rules, asked)
    hurdles = (
        (BuddyRefusal.SAME_PERSON, buddy.key == learner.key),
        (BuddyRefusal.OTHER_SHIFT, not same_shift),
        (BuddyRefusal.NOT_BESIDE, not beside),
        (BuddyRefusal.NOT_ALONE, answer.verdict is not Verdict.ALONE),
    )
    return BuddyAnswer(tuple(refusal for refusal, stands in hurdles if stands), answer)


def _lasting_reasons(
    person: PersonFacts, job: JobFacts, rules: Rules, asked: Asked
) -> Iterator[Reason]:
    """All that depends on days alone, in the order of the published rule."""
    day = asked.day
    if not any(span.covers(day) for span in person.employments):
        yield Reason(ReasonCode.NOT_EMPLOYED)
    held: dict[str, list[Certificate]] = defaultdict(list)
    for certificate in person.certificates:
        held[certificate.family].append(certificate)
    needs = job.needs_on(day)
    for family, level in sorted(needs.items()):
        reason = family_reason(held[family], family, level, asked)
        if reason is not None:
            yield reason
    yield from _practice_reasons(person, job, rules, asked)
    yield from _sight_reasons(person, job, day)
    for line in person.requalifications:
        if line.blocks(day) and not line.families.isdisjoint(needs):
            yield Reason(ReasonCode.REQUALIFICATION, line.order)
    for kind in job.needs_authorisation:
        if not _authorised(person, kind, day):
            yield Reason(ReasonCode.NO_AUTHORISATION, kind)


def _practice_reasons(
    person: PersonFacts, job: JobFacts, rules: Rules, asked: Asked
) -> Iterator[Reason]:
    """Observed check and days away, both of the job group."""
    group, day = job.job_group, asked.day
    checks = [
        check.day
        for check in person.observed_checks
        if check.job_group == group and check.day <= day
    ]
    if not checks:
        yield Reason(ReasonCode.NO_OBSERVED_CHECK, group)
        return
    worked = [
        work.day for work in person.work_days if work.job_group == group and _done(work, asked)
    ]
    away = (day - max(checks + worked)).days
    if away > rules.observed_check_after_days:
        yield Reason(ReasonCode.OBSERVED_CHECK_LAPSED, group, days=away)
    elif away > rules.worked_within_days:
        yield Reason(ReasonCode.REFRESHER_WANTED, group, days=away)


def _sight_reasons(person: PersonFacts, job: JobFacts, day: date) -> Iterator[Reason]:
    """The newest near check must meet and be in date; colour only where the job needs it."""
    newest: dict[Sight, VisionCheck] = {}
    for check in sorted(person.vision_checks, key=lambda check: check.day):
        if check.day <= day:
            newest[check.sight] = check
    near = newest.get(Sight.NEAR)
    if near is None:
        yield Reason(ReasonCode.NEAR_VISION_OVERDUE, detail=Detail.VISION_NEVER_CHECKED)
    elif not near.meets:
        yield Reason(ReasonCode.NEAR_VISION_OVERDUE, day=near.day, detail=Detail.VISION_NOT_MET)
    elif near.due is not None and near.due < day:
        yield Reason(ReasonCode.NEAR_VISION_OVERDUE, day=near.due)
    colour = newest.get(Sight.COLOUR)
    if job.needs_colour_vision and (colour is None or not colour.meets):
        yield Reason(ReasonCode.COLOUR_VISION)


def _reading_reasons(
    person: PersonFacts, job: JobFacts, rules: Rules, asked: Asked
) -> Iterator[Reason]:
    """What of the job's papers is unread: instruction, alerts, cautions."""
    latest = None
    if asked.moment is not None:
        latest = asked.moment + timedelta(minutes=rules.reading_grace_minutes)
    read: dict[tuple[ReadingKind, str, str], bool] = defaultdict(bool)
    for reading in person.readings:
        if _read_in_time(reading, asked.day, latest):
            key = (reading.kind, reading.job, reading.ref)
            read[key] = read[key] or reading.check_passed
    yield from _instruction_reasons(read, job, asked.day)
    for alert in job.alerts:
        if alert.span.covers(asked.day) and (ReadingKind.ALERT, "", alert.number) not in read:
            yield Reason(ReasonCode.ALERT_UNREAD, alert.number)
    for caution in job.cautions:
        if (ReadingKind.CAUTION, "", caution) not in read:
            yield Reason(ReasonCode.CAUTION_UNREAD, caution)


def _instruction_reasons(
    read: Mapping[tuple[ReadingKind, str, str], bool], job: JobFacts, day: date
) -> Iterator[Reason]:
    """The revision current that day, of this very job; a twin's reading does not count."""
    revision = job.revision_on(day)
    if revision is None:
        yield Reason(ReasonCode.WI_UNREAD, job.number, detail=Detail.NO_INSTRUCTION)
        return
    key = (ReadingKind.WORK_INSTRUCTION, job.number, revision.code)
    if key not in read:
        yield Reason(ReasonCode.WI_UNREAD, job.number, revision.code)
    elif revision.needs_check and not read[key]:
        yield Reason(ReasonCode.WI_UNREAD, job.number, revision.code, detail=Detail.CHECK_OPEN)


def _buddy_bars(person: PersonFacts, job: JobFacts, day: date) -> Iterator[BuddyBar]:
    """The entry conditions of running with a buddy that are not met."""
    if job.critical_job:
        yield BuddyBar(BuddyBarCode.CRITICAL_JOB)
    if not _authorised(person, SITE_SAFETY, day):
        yield BuddyBar(BuddyBarCode.NO_SITE_SAFETY)
    # Whoever was certified once, at any level, has read the lesson.
    known = {lesson.family for lesson in person.lessons if lesson.day <= day}
    known |= {held.family for held in person.certificates if held.granted <= day}
    for family in sorted(set(job.needs_on(day)) - known):
        yield BuddyBar(BuddyBarCode.LESSON_UNREAD, family)


def _ends_during(
    person: PersonFacts, job: JobFacts, rules: Rules, asked: Asked, now: tuple[Reason, ...]
) -> tuple[Reason, ...]:
    """What is in order on the asked day and no longer on the day the shift ends.

    Days away are left out: running this very turn sets them back to none.
    """
    if asked.ends_on is None or asked.ends_on <= asked.day:
        return ()
    missing = {reason.topic for reason in now}
    return tuple(
        reason
        for reason in _lasting_reasons(person, job, rules, Asked(asked.ends_on))
        if reason.topic not in missing and reason.code not in PRACTICE_CODES
    )


def _authorised(person: PersonFacts, kind: str, day: date) -> bool:
    return any(held.kind == kind and held.span.covers(day) for held in person.authorisations)


def _done(work: WorkDay, asked: Asked) -> bool:
    """Whether a day's work was under way before the question."""
    if work.day != asked.day or work.began is None or asked.moment is None:
        return work.day <= asked.day
    return work.began < asked.moment


def _read_in_time(reading: Reading, day: date, latest: datetime | None) -> bool:
    """A reading counts for a turn up to some minutes after it began."""
    if reading.moment is not None and latest is not None:
        return reading.moment <= latest
    return reading.day <= day
