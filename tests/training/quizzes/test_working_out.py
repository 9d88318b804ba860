"""Plans worked out for families and bank: numbers, tighter rules, critical block, what is missing."""

from dataclasses import replace

import pytest

from tests.training.quizzes.pool import family_pool, group_pool
from training.quizzes.drawing import Candidate
from training.quizzes.offers import best_offers
from training.quizzes.plan_rules import read_rules
from training.quizzes.scoring import Part
from training.quizzes.worked_plan import Form, WorkedPlan
from training.quizzes.working_out import NotExaminableError, Wanted, critical_shares, work_out
from training.statistics.bank_ladder import BankStep

GROUP = read_rules("group", {})
SHORT = read_rules("short_bank", {})
LIGHT = read_rules("fixed", {})
REQUALIFY = read_rules(
    "fixed",
    {
        "bad": 22,
        "misses_allowed": 0,
        "good": 30,
        "false_rejects_allowed": 3,
        "bad_is_critical": True,
    },
)
PRACTICE = read_rules("practice", {})
FIVE = ["weld-line", "flow-line", "scuff", "drag-mark", "jetting"]


def seen(pool: list[Candidate], count: int) -> list[Candidate]:
    """The first so many bad ones of each family were met a month ago."""
    left: dict[str, int] = {}
    made = []
    for each in pool:
        if each.bad and left.setdefault(each.family, count):
            left[each.family] -= 1
            made.append(replace(each, seen_days_ago=30))
        else:
            made.append(each)
    return made


# Group plans: numbers of the project's own study of group plans, exact binomial.
@pytest.mark.parametrize(
    ("families", "per_family", "allowed", "total"),
    [(4, 10, 4, 70), (5, 8, 4, 70), (6, 8, 5, 78), (7, 8, 6, 86)],
)
def test_the_group_plan_has_its_numbers(
    families: int, per_family: int, allowed: int, total: int
) -> None:
    names = [f"family-{place}" for place in range(families)]
    plan, draw = work_out(GROUP, group_pool(names), names, seed="s")
    assert set(plan.bad.values()) == {per_family}
    assert (plan.misses_allowed, plan.good, plan.false_rejects_allowed) == (allowed, 30, 3)
    assert set(plan.family_misses_allowed.values()) == {1}
    assert plan.total == len(draw.picks) == total
    assert not plan.tightened


def test_a_share_met_before_makes_the_rule_tighter() -> None:
    names = FIVE[:4]
    pool = seen(group_pool(names, bad=17), 8)
    plan, draw = work_out(GROUP, pool, names, seed="s")
    assert 0.10 <= draw.seen_share <= 0.30
    assert plan.tightened is (draw.seen_share > 0.10)
    pool = seen(group_pool(names, bad=16), 8)
    plan, draw = work_out(GROUP, pool, names, seed="s")
    assert draw.seen_share == 0.2
    assert plan.tightened
    assert (plan.misses_allowed or 0) < 4
    assert float(plan.beta) <= 0.10


def test_eight_fresh_and_sixteen_in_the_window_carry_the_group_plan() -> None:
    plan, _ = work_out(GROUP, seen(group_pool(FIVE, bad=16), 8), FIVE, seed="s")
    assert plan.form is Form.GROUP
    with pytest.raises(NotExaminableError) as refusal:
        work_out(GROUP, seen(group_pool(FIVE, bad=16), 9), FIVE, seed="s")
    assert {each.family for each in refusal.value.wanted} == set(FIVE)


def test_fewer_than_sixteen_in_the_window_is_no_group_plan() -> None:
    with pytest.raises(NotExaminableError) as refusal:
        work_out(GROUP, group_pool(FIVE, bad=15), FIVE, seed="s")
    assert refusal.value.wanted[0] == Wanted("weld-line", Part.BAD, 1)


def test_too_few_good_ones_are_wanted_for_the_group() -> None:
    pool = group_pool(FIVE, good=5)
    with pytest.raises(NotExaminableError) as refusal:
        work_out(GROUP, pool, FIVE, seed="s")
    assert refusal.value.wanted == (Wanted("", Part.GOOD, 5),)
    assert "5 more good specimens wanted: the group" in str(refusal.value)


def test_the_critical_block_is_29_over_all_critical_families() -> None:
    names = [*FIVE, "crack"]
    pool = group_pool(names, bad=60)
    plan, draw = work_out(GROUP, pool, names, ["crack", "weld-line"], seed="s")
    assert plan.critical == {"crack": 14, "weld-line": 15}
    assert plan.total == 48 + 30 + 29 == len(draw.picks)


def test_what_one_critical_family_lacks_another_gives() -> None:
    assert critical_shares(GROUP, {"crack": 40, "insert": 5}) == {"crack": 24, "insert": 5}
    with pytest.raises(NotExaminableError) as refusal:
        critical_shares(GROUP, {"crack": 20, "insert": 5})
    assert refusal.value.wanted == (Wanted("insert", Part.CRITICAL, 4),)
    with pytest.raises(NotExaminableError) as refusal:
        critical_shares(GROUP, {"crack": 40, "insert": 1})
    assert refusal.value.wanted == (Wanted("insert", Part.CRITICAL, 2),)


def test_the_short_bank_plan_is_twelve_with_one_missed() -> None:
    plan, draw = work_out(SHORT, family_pool("burn", bad=14), ["burn"], seed="s")
    assert (plan.bad, plan.family_misses_allowed) == ({"burn": 12}, {"burn": 1})
    assert (plan.good, plan.false_rejects_allowed) == (12, 1)
    assert plan.misses_allowed is None
    # separates 2 % from 29 %: passed with .976 and .097 (exact binomial)
    assert (plan.alpha, plan.beta) == ("0.0231", "0.0968")
    assert len(draw.picks) == 24


def test_with_fewer_than_twelve_none_may_be_missed() -> None:
    plan, _ = work_out(SHORT, family_pool("burn", bad=9), ["burn"], seed="s")
    assert (plan.bad, plan.family_misses_allowed) == ({"burn": 9}, {"burn": 0})


def test_fewer_than_eight_fresh_is_not_examinable_yet() -> None:
    with pytest.raises(NotExaminableError) as refusal:
        work_out(SHORT, family_pool("crack", bad=3), ["crack"], seed="s")
    assert str(refusal.value) == "Not examinable yet: 5 more bad specimens wanted: crack."


def test_fixed_plans_have_their_published_numbers() -> None:
    plan, _ = work_out(LIGHT, family_pool("colour-shift", bad=9), ["colour-shift"], seed="s")
    assert (plan.bad, plan.family_misses_allowed, plan.good) == (
        {"colour-shift": 8},
        {"colour-shift": 1},
        4,
    )


def test_the_bad_specimens_of_a_requalification_are_its_critical_block() -> None:
    pool = family_pool("mixed-hands", bad=60, good=40)
    plan, draw = work_out(REQUALIFY, pool, ["mixed-hands"], ["mixed-hands"], seed="s")
    assert plan.bad_is_critical
    assert plan.critical == {}
    assert all(pick.candidate.clear for pick in draw.picks if pick.part is Part.BAD)


def test_practice_has_no_rule() -> None:
    plan, draw = work_out(PRACTICE, family_pool("burn"), ["burn"], seed="s")
    assert plan.form is Form.PRACTICE
    assert plan.total == len(draw.picks) == 12
    with pytest.raises(NotExaminableError):
        work_out(PRACTICE, [], ["burn"], seed="s")


@pytest.mark.parametrize("families", [[], ["burn", "burn"], [f"f{n}" for n in range(8)]])
def test_families_that_make_no_sitting_are_refused(families: list[str]) -> None:
    with pytest.raises(ValueError, match="famil"):
        work_out(GROUP, group_pool(families or ["burn"]), families, seed="s")


def test_worked_plans_are_read_back_as_they_were_written() -> None:
    for rules, names in ((GROUP, FIVE), (SHORT, ["scuff"]), (PRACTICE, ["scuff"])):
        plan, _ = work_out(rules, group_pool(FIVE), names, seed="s")
        assert WorkedPlan.from_json(plan.as_json()) == plan


def offers(pool: list[Candidate], families: list[str], critical: list[str] | None = None):  # type: ignore[no-untyped-def]
    return best_offers(pool, families, critical or [], group=GROUP, short=SHORT)


def test_a_full_bank_gives_the_group_plan() -> None:
    found = offers(group_pool(FIVE), FIVE)
    assert [offer.plan.form for offer in found.offers] == [Form.GROUP]
    assert found.wanted == ()
    assert {each.step for each in found.holdings.values()} == {BankStep.GROUP}


def test_each_family_gets_the_best_rung_its_bank_carries() -> None:
    four = FIVE[:4]
    pool = group_pool(four) + family_pool("crack", bad=10) + family_pool("jetting", bad=3)
    found = offers(pool, [*four, "crack", "jetting"])
    assert [(offer.plan.form, offer.families) for offer in found.offers] == [
        (Form.GROUP, tuple(four)),
        (Form.SHORT_BANK, ("crack",)),
    ]
    assert found.wanted == (Wanted("jetting", Part.BAD, 5),)
    assert found.wanted_for_group == (Wanted("crack", Part.BAD, 6),)


def test_one_family_alone_needs_more_than_24_for_a_group_plan_and_falls_to_the_short_one() -> None:
    found = offers(family_pool("black-specks", bad=24, good=30), ["black-specks"])
    assert [offer.plan.form for offer in found.offers] == [Form.SHORT_BANK]
    assert found.wanted_for_group == (Wanted("black-specks", Part.BAD, 14),)


def test_more_than_three_in_ten_met_before_falls_to_the_short_plan() -> None:
    # four families draw ten each: six of them met before is more than 30 %
    pool = seen(group_pool(FIVE[:4], bad=16), 12)
    found = offers(pool, FIVE[:4])
    assert [offer.plan.form for offer in found.offers] == []
    assert all(each.part is Part.BAD and each.number == 4 for each in found.wanted)


def test_a_critical_block_that_cannot_be_filled_is_left_away_and_named() -> None:
    names = [*FIVE, "crack"]
    found = offers(group_pool(names, bad=16), names, ["crack"])
    assert found.offers[0].critical == ()
    assert found.offers[0].plan.critical == {}
    assert [(each.family, each.part) for each in found.wanted] == [("crack", Part.CRITICAL)]


def test_without_good_specimens_nothing_can_be_opened() -> None:
    found = offers(group_pool(FIVE, good=0), FIVE)
    assert found.offers == ()
    assert Wanted("", Part.GOOD, 8) in found.wanted


class TestSyntheticShare:
    """The plant sets how much of a draw may be drawn by program."""

    def pool(self, drawn_bad: int) -> list[Candidate]:
        pool = group_pool(FIVE, good=30)
        bad = [each for each in pool if each.bad and each.family == FIVE[0]]
        drawn = set(bad[:drawn_bad])
        return [replace(each, synthetic=each in drawn) for each in pool]

    def test_what_the_draw_holds_is_written_down(self) -> None:
        plan, draw = work_out(read_rules("group", {}), self.pool(24), FIVE, seed="s")
        assert plan.draw["synthetic"] == draw.synthetic == 8

    def test_photographed_ones_go_first_where_too_many_would_be_drawn(self) -> None:
        rules = read_rules("group", {"most_synthetic": 5})
        _plan, draw = work_out(rules, self.pool(18), FIVE, seed="s")
        assert draw.synthetic <= 0.05 * len(draw.picks)

    def test_what_cannot_be_kept_is_asked_for(self) -> None:
        rules = read_rules("group", {"most_synthetic": 5})
        with pytest.raises(NotExaminableError) as lack:
            work_out(rules, self.pool(24), FIVE, seed="s")
        (wanted,) = lack.value.wanted
        assert (wanted.family, wanted.photographed) == (FIVE[0], True)
        # 8 of 70 are drawn, 3 are allowed.
        assert wanted.number == 5
