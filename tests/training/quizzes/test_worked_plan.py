"""What counts decide: the group's rule, each family's floor, the critical block, the early stop."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.scoring import Counts, FamilyCount
from training.quizzes.worked_plan import Form, Verdict, WorkedPlan

FIVE = ["weld-line", "flow-line", "scuff", "drag-mark", "jetting"]
GROUP = WorkedPlan(
    form=Form.GROUP,
    bad=dict.fromkeys(FIVE, 8),
    misses_allowed=4,
    family_misses_allowed=dict.fromkeys(FIVE, 1),
    good=30,
    false_rejects_allowed=3,
    critical={"scuff": 29},
)
SHORT = WorkedPlan(
    form=Form.SHORT_BANK,
    bad={"burn": 12, "crack": 9},
    misses_allowed=None,
    family_misses_allowed={"burn": 1, "crack": 0},
    good=24,
    false_rejects_allowed=3,
)


def counts(missed: list[int], false_rejects: int = 0, block: int = 0, shown: int = 8) -> Counts:
    return Counts(
        families={
            name: FamilyCount(bad=shown, missed=n) for name, n in zip(FIVE, missed, strict=True)
        },
        good=30,
        false_rejects=false_rejects,
        critical={"scuff": FamilyCount(bad=29, missed=block)},
    )


def test_four_misses_and_three_false_rejects_pass_the_group() -> None:
    decided = GROUP.decide(counts([1, 1, 1, 1, 0], 3))
    assert decided.passed
    assert decided.families_passed == FIVE
    assert decided.critical_block is True


def test_a_fifth_miss_fails_the_group_and_every_family() -> None:
    decided = GROUP.decide(counts([1, 1, 1, 1, 1]))
    assert not decided.passed
    assert set(decided.verdicts.values()) == {Verdict.GROUP_MISSES}


def test_a_fourth_false_reject_fails_the_group() -> None:
    decided = GROUP.decide(counts([0] * 5, 4))
    assert set(decided.verdicts.values()) == {Verdict.FALSE_REJECTS}


def test_a_failed_family_does_not_stop_the_others() -> None:
    decided = GROUP.decide(counts([2, 1, 0, 0, 0]))
    assert decided.passed
    assert decided.verdicts["weld-line"] is Verdict.FAMILY_MISSES
    assert decided.families_passed == FIVE[1:]


def test_a_miss_in_the_critical_block_fails_the_block_and_nothing_else() -> None:
    decided = GROUP.decide(counts([0] * 5, block=1))
    assert decided.critical_block is False
    assert decided.families_passed == FIVE


def test_a_block_that_was_not_finished_is_not_passed() -> None:
    part = replace(counts([0] * 5), critical={"scuff": FamilyCount(bad=10)})
    assert GROUP.decide(part).critical_block is False


def test_without_a_block_nothing_is_said_of_it() -> None:
    assert replace(GROUP, critical={}).decide(counts([0] * 5)).critical_block is None


def test_families_of_the_short_plan_are_decided_one_by_one() -> None:
    def decide(burn: int, crack: int, false_rejects: int = 0) -> dict[str, Verdict]:
        families = {
            "burn": FamilyCount(bad=12, missed=burn),
            "crack": FamilyCount(bad=9, missed=crack),
        }
        return SHORT.decide(Counts(families, 24, false_rejects)).verdicts

    assert decide(1, 0) == {"burn": Verdict.PASSED, "crack": Verdict.PASSED}
    assert decide(2, 0) == {"burn": Verdict.FAMILY_MISSES, "crack": Verdict.PASSED}
    assert decide(0, 1)["crack"] is Verdict.FAMILY_MISSES
    assert set(decide(0, 0, 4).values()) == {Verdict.FALSE_REJECTS}


def test_bad_specimens_that_are_the_block_decide_it() -> None:
    plan = replace(SHORT, bad={"burn": 22}, family_misses_allowed={"burn": 0}, bad_is_critical=True)
    for missed, passed in ((0, True), (1, False)):
        decided = plan.decide(Counts({"burn": FamilyCount(bad=22, missed=missed)}, 24))
        assert decided.critical_block is passed


def test_practice_decides_nothing_and_is_never_lost() -> None:
    plan = WorkedPlan(Form.PRACTICE, {"burn": 6}, None, {}, 6, 0)
    missed = Counts({"burn": FamilyCount(bad=6, missed=6)}, 6, 6)
    assert not plan.is_lost(missed)
    assert not plan.decide(missed).passed
    assert plan.is_over(missed)


misses = st.lists(st.integers(0, 8), min_size=5, max_size=5)


@given(missed=misses, false_rejects=st.integers(0, 30))
def test_a_sitting_that_is_lost_can_pass_nobody_whatever_follows(
    missed: list[int], false_rejects: int
) -> None:
    so_far = counts(missed, false_rejects)
    if GROUP.is_lost(so_far):
        assert GROUP.decide(so_far).families_passed == []


@given(missed=misses, false_rejects=st.integers(0, 30), more=st.integers(0, 4))
def test_one_more_miss_never_helps(missed: list[int], false_rejects: int, more: int) -> None:
    worse = [n + (place == more and n < 8) for place, n in enumerate(missed)]
    before = set(GROUP.decide(counts(missed, false_rejects)).families_passed)
    after = set(GROUP.decide(counts(worse, false_rejects)).families_passed)
    assert after <= before


def test_a_sitting_goes_on_to_the_end_unless_it_is_lost() -> None:
    running = replace(counts([1, 0, 0, 0, 0], shown=4), good=0, critical={})
    assert not GROUP.is_over(running)
    lost = replace(counts([1, 1, 1, 1, 1], shown=4), good=0, critical={})
    assert GROUP.is_over(lost)
    assert not replace(GROUP, stop_when_lost=False).is_over(lost)
