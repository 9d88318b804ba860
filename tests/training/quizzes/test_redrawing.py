"""A draw made again from its stored seed: the same, the same though changed, or no more."""

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill, right_answer
from tests.training.quizzes.pool import family_pool, group_pool
from training.floor.models import Turn
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.drawing import OWN_JOBS_SHARE
from training.quizzes.models import Sitting
from training.quizzes.plan_rules import read_rules
from training.quizzes.redrawing import Asked, Remade, asked_of, digest_of, remade
from training.quizzes.selectors.draw import explain_draw
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.opening import start_practice
from training.quizzes.working_out import work_out
from training.specimens.models import ReferenceDecision, Specimen

DAY = dt.timedelta(days=1)
Open = Callable[..., Sitting]


def fetched(sitting: Sitting) -> Sitting:
    return Sitting.objects.select_related("person", "plan").get(pk=sitting.pk)


def sit(sitting: Sitting, moment: dt.datetime) -> None:
    rows = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    record_judgements(
        sitting=sitting, answers=[right_answer(row, moment) for row in rows], moment=moment
    )


class TestPure:
    @given(st.randoms(use_true_random=False))
    def test_the_digest_is_of_the_list_and_not_of_its_order(self, chance: object) -> None:
        pool = family_pool("burn")
        shuffled = list(pool)
        chance.shuffle(shuffled)  # type: ignore[attr-defined]
        assert digest_of(shuffled) == digest_of(pool)

    @pytest.mark.parametrize(
        "changes",
        [
            {"ratio": 1.7},
            {"clear": True},
            {"own_job": False},
            {"seen_days_ago": 20},
            {"in_last_sitting": True},
            {"synthetic": True},
            {"bad": False},
        ],
    )
    def test_whatever_the_draw_hangs_on_changes_the_digest(
        self, changes: dict[str, object]
    ) -> None:
        pool = family_pool("burn")
        other = [replace(pool[0], **changes), *pool[1:]]  # type: ignore[arg-type]
        assert digest_of(other) != digest_of(pool)

    def test_what_is_kept_comes_back_as_it_was(self, plant: SimpleNamespace) -> None:
        asked = asked_of(
            family_pool("burn"),
            ["burn", "flash"],
            jobs=[plant.job.pk],
            limits_of=TODAY,
            pictured_only=True,
        )
        assert asked.held == {"burn": (24, 24), "flash": (0, 0)}
        assert Asked.from_json(asked.as_json()) == asked

    def test_each_outcome(self) -> None:
        asked = Asked((), TODAY, True, "a", 2, {})
        assert remade(asked, "a", ["x", "y"], ["x", "y"]) is Remade.SAME
        assert remade(asked, "b", ["x", "y"], ["x", "y"]) is Remade.SAME_THOUGH_CHANGED
        assert remade(asked, "b", ["x", "y"], ["y", "x"]) is Remade.CHANGED
        assert remade(asked, "a", ["x", "y"], ["y", "x"]) is Remade.DIFFERS

    @given(st.integers(0, 10**6), st.integers(0, 100))
    def test_six_of_ten_come_from_own_jobs_wherever_the_bank_has_them(
        self, seed: int, own: int
    ) -> None:
        families = ["burn", "flash", "sink", "gloss"]
        pool = group_pool(families, own=own)
        _plan, draw = work_out(read_rules("group", {}), pool, families, seed=str(seed))
        for family in families:
            drawn = [each.candidate for each in draw.picks if each.candidate.family == family]
            bad = [each for each in drawn if each.bad]
            held = sum(each.own_job and each.bad and each.family == family for each in pool)
            if held == 24:
                assert sum(each.own_job for each in bad) >= OWN_JOBS_SHARE * len(bad)
        # Own jobs are never pushed out by others: half the pool own gives at least as many drawn.
        share = sum(each.own_job for each in pool) / len(pool)
        if share >= OWN_JOBS_SHARE:
            assert draw.own_jobs >= OWN_JOBS_SHARE * len(draw.picks) - len(draw.strata)


def test_the_draw_is_made_again_from_the_stored_seed(exam: Sitting) -> None:
    found = explain_draw(fetched(exam))
    assert found.remade is Remade.SAME
    assert found.missing == ()
    assert found.asked is not None
    assert found.asked.candidates == found.candidates_now == 28
    (family,) = found.families
    assert (family.fresh, family.total, len(family.bad)) == (14, 14, 12)
    assert sum(each.drawn for each in family.strata) == 12
    assert (len(found.good), found.own, found.synthetic) == (12, 0, 24)


def test_what_the_person_did_later_does_not_disturb_it(
    exam: Sitting,
    plans: dict,
    bank: SimpleNamespace,  # type: ignore[type-arg]
) -> None:
    sit(exam, NOON)
    start_practice(
        person=exam.person,
        families=[bank.specks],
        plan=plans["practice"],
        moment=NOON + dt.timedelta(hours=1),
    )
    turn = Turn(press=bank.press, job=bank.job, person=exam.person, day=TODAY, started_at=NOON)
    append(turn, moment=NOON)
    assert explain_draw(fetched(exam)).remade is Remade.SAME


def test_the_jobs_counted_as_own_are_those_of_the_opening(
    open_exam: Open, bank: SimpleNamespace, operator: Person
) -> None:
    turn = Turn(
        press=bank.press, job=bank.job, person=operator, day=TODAY - 9 * DAY, started_at=NOON
    )
    append(turn, moment=NOON - 9 * DAY)
    found = explain_draw(fetched(open_exam(operator)))
    assert [job.number for job in found.jobs] == ["901"]
    assert found.own == len(found.parts) == 24


def test_a_specimen_retired_since_is_said_and_not_papered_over(exam: Sitting) -> None:
    row = exam.presented.order_by("ordinal").first()
    assert row is not None
    Specimen.objects.filter(pk=row.specimen_id).update(retired_day=TODAY - DAY)
    found = explain_draw(fetched(exam))
    assert found.remade is Remade.CHANGED
    assert row in found.missing
    assert len(found.parts) == 24


def test_a_specimen_retired_the_day_after_was_still_there(exam: Sitting) -> None:
    Specimen.objects.update(retired_day=TODAY + DAY)
    assert explain_draw(fetched(exam)).remade is Remade.SAME


def test_a_bank_that_has_grown_since_is_seen_as_it_was(
    exam: Sitting, bank: SimpleNamespace
) -> None:
    fill(bank, bank.burn, bad=9, good=9, moment=NOON + dt.timedelta(hours=2))
    found = explain_draw(fetched(exam))
    assert (found.remade, found.candidates_now) == (Remade.SAME, 28)


def test_what_was_decided_again_since_is_seen_as_it_was_decided_then(
    exam: Sitting, bank: SimpleNamespace
) -> None:
    later = [
        ReferenceDecision(
            specimen_id=row.specimen_id,
            work_instruction=bank.sheet,
            decision="accept",
            action="keep_running",
            basis="panel",
        )
        for row in exam.presented.filter(part="bad")
    ]
    append(*later, moment=NOON + dt.timedelta(hours=3))
    assert explain_draw(fetched(exam)).remade is Remade.SAME


def test_a_seed_that_is_not_the_draws_own_is_found_out(exam: Sitting) -> None:
    sitting = fetched(exam)
    sitting.seed = "another"
    assert explain_draw(sitting).remade is Remade.DIFFERS


def test_an_exam_that_kept_nothing_says_so(exam: Sitting) -> None:
    sitting = fetched(exam)
    sitting.worked_plan["draw"].pop("asked")
    assert explain_draw(sitting).remade is Remade.UNKNOWN


def test_the_whole_draw_is_fixed_before_the_first_part(exam: Sitting, open_exam: Open) -> None:
    """Nothing of a running exam is drawn later: all its parts stand in the record at its opening."""
    assert exam.presented.count() == 24
    assert {row.recorded_at for row in exam.presented.all()} == {exam.recorded_at}
    with pytest.raises(ValidationError, match="still running"):
        open_exam(exam.person)
