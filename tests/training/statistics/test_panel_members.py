"""A member of the panel is compared with what the others settled without the own verdicts."""

import math
import random
from datetime import date

import pytest

from training.statistics.panel import Verdict
from training.statistics.panel_members import Leaning, Look, compare_members, more_often

NAMES = ("Ana", "Bo", "Cy", "Dee", "Eve")


def panel(lines: dict[str, float], specimens: int = 40, seed: int = 5) -> list[Look]:
    """Let members with their own lines judge parts from 0.6 to 1.8 times the limit, twice each."""
    chance = random.Random(seed)
    ratios = [0.6 * 3.0 ** (place / (specimens - 1)) for place in range(specimens)]
    return [
        Look(
            str(place),
            Verdict(
                name,
                "reject"
                if math.log(ratio) + chance.gauss(0, 0.08) > math.log(lines[name])
                else "accept",
                date(2026, 11, day),
            ),
            ratio,
        )
        for place, ratio in enumerate(ratios)
        for name in lines
        for day in (2, 5)
    ]


def test_the_lady_tasting_tea() -> None:
    # Fisher 1935, The Design of Experiments, ch. 2 (from memory): 17 of 70.
    assert more_often(3, 4, 1, 4) == pytest.approx(17 / 70)
    assert more_often(4, 4, 0, 4) == pytest.approx(1 / 70)


def test_a_lenient_member_is_named_and_nobody_else() -> None:
    found = compare_members(panel({**dict.fromkeys(NAMES, 1.0), "Dee": 1.25}))
    assert {m.name: m.leaning for m in found} == {
        **dict.fromkeys(NAMES, Leaning.ALIKE),
        "Dee": Leaning.LENIENT,
    }
    dee = next(member for member in found if member.name == "Dee")
    assert dee.limit is not None
    assert dee.limit.ratio == pytest.approx(1.25, abs=0.08)
    assert str(dee.limit.statement).startswith("At least 10 % too lenient")


def test_a_strict_member_is_named_strict() -> None:
    found = compare_members(panel({**dict.fromkeys(NAMES, 1.0), "Bo": 0.75}))
    assert [m.name for m in found if m.leaning is Leaning.STRICT] == ["Bo"]


def test_alike_members_are_seldom_told_apart() -> None:
    named = sum(
        member.leaning is not Leaning.ALIKE
        for seed in range(20)
        for member in compare_members(panel(dict.fromkeys(NAMES, 1.0), seed=seed))
    )
    assert named <= 1


def test_the_own_verdicts_never_make_the_answer_they_are_compared_with() -> None:
    looks = [
        Look(str(place), Verdict(name, "reject" if name == "Ana" else "accept"))
        for place in range(10)
        for name in (*NAMES, "Flo")
    ]
    ana = compare_members(looks)[0]
    assert (ana.rejected_good.against, ana.rejected_good.looks) == (10, 10)
    assert ana.accepted_bad.looks == 0
    assert ana.limit is None


def test_below_eight_looks_no_rate_is_given() -> None:
    looks = [Look(str(n), Verdict(name, "accept")) for n in range(7) for name in (*NAMES, "Flo")]
    assert compare_members(looks)[0].rejected_good.interval is None


def test_saying_the_same_twice_is_counted() -> None:
    looks = [
        Look("1", Verdict("Ana", "accept", date(2026, 1, 1))),
        Look("1", Verdict("Ana", "reject", date(2026, 1, 3))),
        Look("2", Verdict("Ana", "accept", date(2026, 1, 1))),
        Look("2", Verdict("Ana", "accept", date(2026, 1, 3))),
    ]
    ana = compare_members(looks)[0]
    assert (ana.same, ana.pairs) == (1, 2)


def test_a_verdict_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="decision"):
        compare_members([Look("1", Verdict("Ana", "maybe")), Look("1", Verdict("Bo", "accept"))])
