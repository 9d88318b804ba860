"""Edges of the standing rule, one at a time. The rule is common practice, no source."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from certification.certificates.standing import (
    Answer,
    Asked,
    Block,
    BuddyBarCode,
    BuddyRefusal,
    Detail,
    PersonFacts,
    ReasonCode,
    Rules,
    Verdict,
    buddy_may,
    explain,
)
from certification.certificates.standing_facts import (
    Certificate,
    Level,
    ObservedCheck,
    Requalification,
    Sight,
    Span,
    Stop,
    StopKind,
    VisionCheck,
    WorkDay,
)
from tests.certification.certificates.cases import (
    DAY,
    JOB,
    LONG_AGO,
    PERSON,
    RULES,
    ask,
    codes,
    days,
)


def test_everything_just_in_order() -> None:
    assert ask() == Answer(Verdict.ALONE)


def test_the_day_after_everything_has_run_out() -> None:
    answer = ask(asked=Asked(DAY + days(1)))
    assert codes(answer) == ["lapsed", "refresher_wanted", "near_vision_overdue"]
    assert [(r.day, r.days) for r in answer.reasons] == [(DAY, None), (None, 91), (DAY, None)]


def test_a_person_without_any_fact_gets_every_reason() -> None:
    job = replace(JOB, needs_colour_vision=True)
    answer = ask(PersonFacts("1"), job)
    assert answer.verdict is Verdict.NO
    assert codes(answer) == [
        "not_employed",
        "not_certified",
        "not_certified",
        "no_observed_check",
        "near_vision_overdue",
        "colour_vision",
        "no_authorisation",
        "wi_unread",
        "alert_unread",
        "caution_unread",
    ]
    assert [bar.code.value for bar in answer.buddy_bars] == [
        "no_site_safety",
        "lesson_unread",
        "lesson_unread",
    ]


def certified(level: Level, granted: int, expires: int, *stops: Stop) -> PersonFacts:
    """The person with one certificate for mixed hands, days counted from DAY."""
    certificate = Certificate(
        "mixed-hands", level, DAY + days(granted), DAY + days(expires), tuple(stops)
    )
    return replace(PERSON, certificates=(PERSON.certificates[0], certificate))


@pytest.mark.parametrize(
    ("person", "code"),
    [
        (certified(Level.CRITICAL, 0, 300), None),
        (certified(Level.CRITICAL, -300, 0), None),
        (certified(Level.CRITICAL, 1, 300), "not_certified"),
        (certified(Level.CRITICAL, -300, -1), "lapsed"),
        (certified(Level.ORDINARY, -300, 0), "ordinary_only"),
        (certified(Level.ORDINARY, -300, -1), "not_certified"),
        (certified(Level.CRITICAL, -9, 9, Stop(StopKind.SUSPENDED, DAY)), "suspended"),
        (certified(Level.CRITICAL, -9, 9, Stop(StopKind.SUSPENDED, DAY + days(1))), None),
        (certified(Level.CRITICAL, -9, 9, Stop(StopKind.SUSPENDED, LONG_AGO, DAY - days(1))), None),
        (certified(Level.CRITICAL, -9, 9, Stop(StopKind.SUPERVISED, DAY)), "under_supervision"),
        (certified(Level.CRITICAL, -9, 9, Stop(StopKind.WITHDRAWN, DAY)), "lapsed"),
        (certified(Level.CRITICAL, -9, 9, Stop(StopKind.WITHDRAWN, DAY + days(1))), None),
        (certified(Level.CRITICAL, 0, 9, Stop(StopKind.WITHDRAWN, DAY)), "not_certified"),
    ],
)
def test_one_code_a_family(person: PersonFacts, code: str | None) -> None:
    assert codes(ask(person)) == ([] if code is None else [code])


def test_a_renewal_keeps_the_older_certificate_for_questions_of_then() -> None:
    old = Certificate("mixed-hands", Level.CRITICAL, DAY - days(300), DAY - days(1))
    new = Certificate("mixed-hands", Level.CRITICAL, DAY, DAY + days(300))
    person = replace(PERSON, certificates=(PERSON.certificates[0], new, old))
    assert ask(person).verdict is Verdict.ALONE
    before = ask(person, replace(JOB, alerts=()), Asked(DAY - days(1)))
    assert "mixed-hands" not in {reason.subject for reason in before.reasons}


def test_a_buddy_covers_lapsed_but_not_suspended() -> None:
    assert ask(certified(Level.CRITICAL, -300, -1)).verdict is Verdict.BUDDY
    suspended = certified(Level.CRITICAL, -9, 9, Stop(StopKind.SUSPENDED, DAY))
    assert ask(suspended).verdict is Verdict.NO
    supervised = certified(Level.CRITICAL, -9, 9, Stop(StopKind.SUPERVISED, DAY))
    assert ask(supervised).verdict is Verdict.BUDDY


def test_a_suspension_does_not_reach_back_before_its_moment() -> None:
    decided = datetime(2025, 11, 24, 15, 0, tzinfo=UTC)
    person = certified(Level.CRITICAL, -9, 9, Stop(StopKind.SUSPENDED, DAY, began=decided))
    assert ask(person, asked=Asked(DAY, decided - timedelta(minutes=1))).verdict is Verdict.ALONE
    assert ask(person, asked=Asked(DAY, decided)).verdict is Verdict.NO
    assert ask(person).verdict is Verdict.NO


@pytest.mark.parametrize(
    ("away", "code"),
    [
        (90, None),
        (91, "refresher_wanted"),
        (180, "refresher_wanted"),
        (181, "observed_check_lapsed"),
    ],
)
def test_days_away(away: int, code: str | None) -> None:
    person = replace(PERSON, work_days=(WorkDay("G2", DAY - days(away)),))
    answer = ask(person)
    assert codes(answer) == ([] if code is None else [code])
    assert answer.verdict is (Verdict.ALONE if code is None else Verdict.BUDDY)
    assert [reason.days for reason in answer.reasons] == ([] if code is None else [away])
    critical = ask(person, replace(JOB, critical_job=True))
    assert critical.verdict is (Verdict.ALONE if code is None else Verdict.NO)


def test_days_away_count_from_the_observed_check_too() -> None:
    person = replace(PERSON, work_days=(), observed_checks=(ObservedCheck("G2", DAY),))
    assert ask(person).verdict is Verdict.ALONE
    other = replace(PERSON, work_days=(WorkDay("G3", DAY),))
    assert codes(ask(other)) == ["observed_check_lapsed"]


def test_a_turn_does_not_prove_the_practice_it_needed() -> None:
    began = datetime(2025, 11, 24, 6, 0, tzinfo=UTC)
    person = replace(PERSON, work_days=(WorkDay("G2", DAY - days(100)), WorkDay("G2", DAY, began)))
    assert codes(ask(person, asked=Asked(DAY, began))) == ["refresher_wanted"]
    assert ask(person, asked=Asked(DAY, began + timedelta(hours=1))).verdict is Verdict.ALONE


@pytest.mark.parametrize(
    ("check", "reason"),
    [
        (VisionCheck(Sight.NEAR, DAY, True, DAY), None),
        (VisionCheck(Sight.NEAR, DAY, False, DAY + days(365)), (DAY, Detail.VISION_NOT_MET)),
        (VisionCheck(Sight.NEAR, DAY, True, DAY - days(1)), (DAY - days(1), Detail.NONE)),
        (VisionCheck(Sight.NEAR, DAY + days(1), False), None),
    ],
)
def test_the_newest_near_vision_check_decides(
    check: VisionCheck, reason: tuple[date, Detail] | None
) -> None:
    answer = ask(replace(PERSON, vision_checks=(check, *PERSON.vision_checks)))
    assert [(r.day, r.detail) for r in answer.reasons] == ([] if reason is None else [reason])


def test_colour_is_asked_only_where_the_job_needs_it() -> None:
    weak = VisionCheck(Sight.COLOUR, LONG_AGO, False)
    person = replace(PERSON, vision_checks=(*PERSON.vision_checks, weak))
    assert ask(person).verdict is Verdict.ALONE
    assert codes(ask(person, replace(JOB, needs_colour_vision=True))) == ["colour_vision"]


@pytest.mark.parametrize(
    ("block", "raised", "due", "closed", "blocks"),
    [
        (Block.AT_ONCE, 0, 7, None, True),
        (Block.AT_ONCE, 1, 7, None, False),
        (Block.AT_ONCE, -3, 7, 0, False),
        (Block.AT_ONCE, -3, 7, 1, True),
        (Block.AFTER_DUE_DAY, -7, 0, None, False),
        (Block.AFTER_DUE_DAY, -7, -1, None, True),
        (Block.AFTER_DUE_DAY, -7, -1, 0, False),
    ],
)
def test_requalification(
    block: Block, raised: int, due: int, closed: int | None, blocks: bool
) -> None:
    line = Requalification(
        "RQ-03",
        frozenset({"mixed-hands"}),
        block,
        DAY + days(raised),
        DAY + days(due),
        None if closed is None else DAY + days(closed),
    )
    person = replace(PERSON, requalifications=(line,))
    assert codes(ask(person)) == (["requalification"] if blocks else [])
    other = replace(JOB, needs={"flash": Level.ORDINARY})
    assert ask(person, other).verdict is Verdict.ALONE


def test_buddy_bars_are_named() -> None:
    learner = replace(PERSON, certificates=(), authorisations=())
    answer = ask(learner, replace(JOB, critical_job=True, needs_authorisation=()))
    assert {bar.code for bar in answer.buddy_bars} == set(BuddyBarCode)


def test_a_buddy_must_run_alone_beside_in_the_same_shift() -> None:
    learner = replace(PERSON, key="1195", certificates=())
    fine = buddy_may(PERSON, learner, JOB, RULES, Asked(DAY), same_shift=True, beside=True)
    assert fine.may
    lost = buddy_may(learner, PERSON, JOB, RULES, Asked(DAY), same_shift=True, beside=True)
    assert lost.refusals == (BuddyRefusal.NOT_ALONE,)
    assert lost.answer.verdict is Verdict.NO
    far = buddy_may(PERSON, learner, JOB, RULES, Asked(DAY), same_shift=False, beside=False)
    assert far.refusals == (BuddyRefusal.OTHER_SHIFT, BuddyRefusal.NOT_BESIDE)


def test_other_rules_give_other_answers() -> None:
    strict = Rules(worked_within_days=30, observed_check_after_days=60)
    answer = explain(PERSON, JOB, strict, Asked(DAY))
    assert [reason.code for reason in answer.reasons] == [ReasonCode.OBSERVED_CHECK_LAPSED]


@pytest.mark.parametrize(
    "wrong", [{"due_soon_days": -1}, {"worked_within_days": 90, "observed_check_after_days": 60}]
)
def test_rules_that_make_no_sense_are_refused(wrong: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"at least|cannot be negative"):
        Rules(**wrong)  # type: ignore[arg-type]


def test_a_span_cannot_end_before_it_begins() -> None:
    with pytest.raises(ValueError, match="cannot end"):
        Span(DAY, DAY - days(1))
