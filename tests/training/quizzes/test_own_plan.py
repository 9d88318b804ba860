"""A family's own plan through the real services: both sides to a decision, the rest fillers."""

import datetime as dt
import uuid
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill, right_answer, wrong_answer
from training.people.models import Device, Person
from training.quizzes.models import ExamPlan, Presented, Sitting, SittingEnd
from training.quizzes.own_plan import OwnTables, counted
from training.quizzes.plan_rules import own_table, read_rules
from training.quizzes.scoring import Answer, Counts, Part, Truth, count_answers
from training.quizzes.selectors.results import result_of
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.judging import Recorded, record_judgements
from training.quizzes.services.opening import open_qualification
from training.quizzes.services.plans import publish_plan
from training.quizzes.worked_plan import Verdict, WorkedPlan
from training.statistics.sampling_plan import Decision, curtail

# Wide apart, so that the tests' bank is small: 16 bad ones are drawn of 32.
RATES = {"p_ok": 0.05, "p_bad": 0.40, "alpha": 0.05, "beta": 0.10}
CRITICAL = {f"critical_{name}": value for name, value in RATES.items()} | {"critical_p_ok": 0.03}
TABLES = OwnTables(curtail(4, 1), curtail(5, 1))

BAD = Truth("specks", Part.BAD, reject=True)
GOOD = Truth("specks", Part.GOOD, reject=False)
YES, NO = Answer(reject=True), Answer(reject=False)


def judged(*pairs: tuple[Truth, Answer]) -> list[tuple[int, tuple[Truth, Answer]]]:
    return list(enumerate(pairs, start=1))


class TestCounted:
    def test_a_side_counts_up_to_its_decision_and_no_further(self) -> None:
        found = counted(TABLES, judged(*[(BAD, NO)] * 2, (GOOD, NO), *[(BAD, YES)] * 2))
        assert found == [(BAD, NO), (BAD, NO), (GOOD, NO)]
        assert TABLES.miss_side(2, 2) is Decision.REJECT

    def test_an_answer_that_came_before_an_earlier_one_waits_for_it(self) -> None:
        answers = judged(*[(BAD, NO)] * 3)
        assert counted(TABLES, answers[1:]) == []
        assert len(counted(TABLES, reversed(answers))) == 2

    @given(st.lists(st.sampled_from([(BAD, YES), (BAD, NO), (GOOD, YES), (GOOD, NO)]), max_size=12))
    def test_counting_again_after_more_answers_never_changes_a_decision(
        self, pairs: list[tuple[Truth, Answer]]
    ) -> None:
        plan = worked()
        before: tuple[Decision, ...] = (Decision.CONTINUE,) * 2
        for n in range(len(pairs) + 1):
            counts = count_answers(counted(TABLES, judged(*pairs[:n])), ["specks"])
            sides = plan.sides(counts)
            for was, now in zip(before, sides, strict=True):
                assert was in (Decision.CONTINUE, now)
            before = sides


def worked(critical: bool = False) -> WorkedPlan:
    from training.quizzes.worked_plan import Form

    return WorkedPlan(
        form=Form.OWN,
        bad={"specks": 4},
        misses_allowed=None,
        family_misses_allowed={"specks": 1},
        good=5,
        false_rejects_allowed=1,
        own=OwnTables(TABLES.misses, TABLES.false_rejects, critical),
    )


class TestDecide:
    @pytest.mark.parametrize(
        ("missed", "bad", "refused", "good", "verdict"),
        [
            (0, 3, 0, 4, Verdict.PASSED),
            (2, 3, 0, 4, Verdict.FAMILY_MISSES),
            (0, 3, 2, 2, Verdict.FALSE_REJECTS),
            (2, 2, 2, 2, Verdict.FALSE_REJECTS),
            (1, 2, 0, 4, Verdict.UNDECIDED),
        ],
    )
    def test_each_verdict(
        self, missed: int, bad: int, refused: int, good: int, verdict: Verdict
    ) -> None:
        from training.quizzes.scoring import FamilyCount

        plan = worked(critical=True)
        counts = Counts({"specks": FamilyCount(bad=bad, missed=missed)}, good, refused)
        decided = plan.decide(counts)
        assert decided.verdicts == {"specks": verdict}
        assert decided.passed == (verdict is Verdict.PASSED)
        assert decided.critical_block is (True if decided.passed else None)
        assert plan.is_over(counts) == (verdict is not Verdict.UNDECIDED)
        assert not plan.is_lost(counts)

    def test_a_worked_plan_is_written_in_whole_numbers_and_read_again(self) -> None:
        plan = worked()
        again = WorkedPlan.from_json(plan.as_json())
        assert again == plan
        assert again.as_json() == plan.as_json()


@pytest.fixture
def own_plan(db: None, quality: Person) -> ExamPlan:
    return publish_plan(
        code="own",
        form="own",
        name={"en": "Own plan", "es": "Plan propio"},
        parameters={**RATES, **CRITICAL},
        reason="inspectors",
        day=TODAY - dt.timedelta(days=30),
        published_by=quality,
    )


@pytest.fixture
def cap(own_plan: ExamPlan) -> int:
    return own_table(read_rules("own", own_plan.parameters), critical=False).cap


@pytest.fixture
def open_own(
    own_plan: ExamPlan,
    cap: int,
    plant: SimpleNamespace,
    operator: Person,
    trainer: Person,
    device: Device,
) -> Callable[..., Sitting]:
    fill(plant, plant.specks, bad=2 * cap, good=cap, moment=NOON - dt.timedelta(days=100))

    def open_it(**changes: object) -> Sitting:
        values: dict[str, object] = {
            "person": operator,
            "families": [plant.specks],
            "plan": own_plan,
            "invigilator": trainer,
            "signature_method": "pin",
            "device": device,
            "moment": NOON,
            "seed": "witness",
            **changes,
        }
        return open_qualification(**values)  # type: ignore[arg-type]

    return open_it


def answer_all(sitting: Sitting, wrong: Callable[[Presented, int], bool]) -> list[Recorded]:
    """Answer part after part until the sitting ends; `wrong` sees a part and how many of its kind."""
    rows = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    seen = {"bad": 0, "good": 0}
    replies = []
    for part in rows:
        make = wrong_answer if wrong(part, seen[part.part]) else right_answer
        seen[part.part] += 1
        replies.append(record_judgements(sitting=sitting, answers=[make(part, NOON)], moment=NOON))
        if replies[-1].end is not None:
            break
    return replies


class TestSitting:
    def test_both_kinds_are_drawn_up_to_the_cap_in_one_order(
        self, open_own: Callable[..., Sitting], cap: int
    ) -> None:
        sitting = open_own()
        parts = list(sitting.presented.order_by("ordinal").values_list("part", flat=True))
        assert (parts.count("bad"), parts.count("good")) == (cap, cap)
        assert parts != sorted(parts)
        plan = WorkedPlan.from_json(sitting.worked_plan)
        assert plan.own is not None
        assert (plan.total, plan.own.misses.cap) == (2 * cap, cap)

    def test_who_errs_nowhere_passes_before_the_cap_with_fillers_not_counted(
        self, open_own: Callable[..., Sitting], cap: int
    ) -> None:
        sitting = open_own()
        replies = answer_all(sitting, lambda part, n: False)
        end = replies[-1].end
        assert end is not None
        assert (end.reason, end.result) == (SittingEnd.Reason.DECIDED, SittingEnd.Result.PASSED)
        assert len(replies) < 2 * cap
        counts = Counts.from_json(end.counts)
        plan = WorkedPlan.from_json(sitting.worked_plan)
        assert plan.own is not None
        first = next(n for n, most in enumerate(plan.own.misses.accept) if most >= 0)
        assert (counts.bad, counts.good) == (first, first)
        assert sitting.judgements.count() == len(replies)
        assert result_of(sitting).fillers == len(replies) - 2 * first

    def test_a_side_that_is_lost_does_not_end_it_until_the_other_is_decided(
        self, open_own: Callable[..., Sitting]
    ) -> None:
        sitting = open_own()
        replies = answer_all(sitting, lambda part, n: part.part == "bad")
        counts = Counts.from_json(replies[-1].end.counts)  # type: ignore[union-attr]
        plan = WorkedPlan.from_json(sitting.worked_plan)
        assert plan.sides(counts) == (Decision.REJECT, Decision.ACCEPT)
        shown = [row.part for row in sitting.presented.order_by("ordinal")[: len(replies)]]
        # Bad parts went on being shown long after that side was lost.
        assert shown.count("bad") > counts.bad
        assert replies[-1].end.result == SittingEnd.Result.NOT_PASSED  # type: ignore[union-attr]

    def test_errors_on_fillers_change_nothing(self, open_own: Callable[..., Sitting]) -> None:
        sitting = open_own()
        plan = WorkedPlan.from_json(sitting.worked_plan)
        assert plan.own is not None
        first = next(n for n, most in enumerate(plan.own.misses.accept) if most >= 0)
        replies = answer_all(sitting, lambda part, n: n >= first)
        assert replies[-1].end is not None
        assert replies[-1].end.result == SittingEnd.Result.PASSED

    def test_nothing_in_a_reply_tells_which_side_is_decided(
        self, open_own: Callable[..., Sitting], cap: int
    ) -> None:
        right = answer_all(open_own(), lambda part, n: False)
        assert {reply.total for reply in right} == {2 * cap}
        assert [reply.judged for reply in right] == list(range(1, len(right) + 1))

    def test_no_rate_is_given_and_no_number_allowed(self, open_own: Callable[..., Sitting]) -> None:
        sitting = open_own()
        answer_all(sitting, lambda part, n: False)
        result = result_of(sitting)
        assert result.missed.high is None
        assert [row.allowed for row in result.families] == [None]

    def test_at_critical_level_its_risks_take_the_place_of_the_block(
        self, open_own: Callable[..., Sitting], plant: SimpleNamespace
    ) -> None:
        fill_more(plant)
        sitting = open_own(critical=[plant.specks])
        assert sitting.critical_families == [plant.specks.slug]
        assert WorkedPlan.from_json(sitting.worked_plan).p_ok == "0.03"
        end = answer_all(sitting, lambda part, n: False)[-1].end
        assert end is not None
        assert end.critical_block_passed is True

    def test_it_is_not_ended_by_hand_before_it_is_decided(
        self, open_own: Callable[..., Sitting]
    ) -> None:
        sitting = open_own()
        for reason in ("decided", "lost", "complete"):
            with pytest.raises(ValidationError):
                end_sitting(sitting=sitting, reason=reason, moment=NOON)
        assert end_sitting(sitting=sitting, reason="abandoned", moment=NOON).result == "undecided"


def fill_more(plant: SimpleNamespace) -> None:
    """Put in parts under new numbers, so that the critical level's larger caps are carried too."""
    from training.specimens.models import Specimen

    for row in Specimen.objects.all():
        row.number = f"M-{uuid.uuid4().hex[:10]}"
        row.save(update_fields=["number"])
    fill(plant, plant.specks, bad=30, good=30, moment=NOON - dt.timedelta(days=100))


class TestRefusals:
    def test_less_than_twice_the_cap_fresh_is_not_examinable(
        self,
        own_plan: ExamPlan,
        cap: int,
        plant: SimpleNamespace,
        operator: Person,
        trainer: Person,
    ) -> None:
        fill(plant, plant.specks, bad=2 * cap - 3, good=cap, moment=NOON - dt.timedelta(days=100))
        with pytest.raises(ValidationError, match="3 more bad specimens wanted: Black specks"):
            open_qualification(
                person=operator,
                families=[plant.specks],
                plan=own_plan,
                invigilator=trainer,
                signature_method="pin",
                moment=NOON,
            )

    def test_several_families_are_told_to_sit_one_by_one(
        self, open_own: Callable[..., Sitting], plant: SimpleNamespace
    ) -> None:
        with pytest.raises(ValidationError, match="one family at a time"):
            open_own(families=[plant.specks, plant.burn])

    @pytest.mark.parametrize(
        ("parameters", "words"),
        [
            ({"p_ok": 0.3, "p_bad": 0.2}, "p_bad"),
            ({"misses_allowed": 3}, "no parameter"),
            ({"critical_p_ok": 0.001, "critical_p_bad": 0.002}, "widen the gap"),
            ({"most_synthetic": 101}, "0 to 100"),
        ],
    )
    def test_parameters_that_cannot_hold(self, parameters: dict[str, float], words: str) -> None:
        with pytest.raises(ValueError, match=words):
            read_rules("own", parameters)
