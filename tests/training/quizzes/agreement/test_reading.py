"""Reading a study: parts by disagreement, and what each person's figures ask for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.agreement.reading import Answers, Doubt, Need, full_block, read_study
from training.statistics.agreement import Verdict


def answers(*rows: str, judges: str = "AB") -> Answers:
    """Read rows such as "a aa ar": the reference, then each person's rounds."""
    split = [row.split() for row in rows]
    return Answers(
        parts=tuple(f"P{n}" for n, _row in enumerate(split, start=1)),
        reference=tuple(row[0] == "a" for row in split),
        judges=tuple(judges),
        accepted=tuple(
            tuple(tuple(answer == "a" for answer in own) for own in row[1:]) for row in split
        ),
    )


def test_the_most_disputed_part_comes_first() -> None:
    read = read_study(answers("a aa aa", "r rr ra", "r aa aa", "a ra ra", "r rr rr"))
    assert [part.label for part in read.parts] == ["P3", "P4", "P2", "P1", "P5"]
    assert [part.label for part in read.disputed] == ["P3", "P4", "P2"]
    assert [part.doubt for part in read.parts] == [
        Doubt.REFERENCE,
        Doubt.WITHIN,
        Doubt.WITHIN,
        Doubt.NONE,
        Doubt.NONE,
    ]


def test_somebody_steady_against_the_others_is_a_dispute_between_people() -> None:
    (first, *_rest) = read_study(answers("a aa rr", "r rr rr")).parts
    assert first.doubt is Doubt.BETWEEN


GOOD_PARTS = ["a aa aa"] * 10
BAD_PARTS = ["r rr rr"] * 10


@pytest.mark.parametrize(
    ("odd", "need"),
    [
        (["r aa rr"] * 3, Need.STRICTER),
        (["a rr aa"] * 4, Need.LAXER),
        (["r aa rr"] * 3 + ["a rr aa"] * 4, Need.LIMITS),
        (["r ar rr"] * 3 + ["a ra aa"] * 3, Need.STEADY),
        ([], Need.NOTHING),
    ],
)
def test_what_somebody_needs_follows_from_where_the_errors_come_from(
    odd: list[str], need: Need
) -> None:
    read = read_study(answers(*GOOD_PARTS, *BAD_PARTS, *odd))
    first, second = read.judges
    assert first.need is need
    assert second.need is Need.NOTHING
    assert second.figures.verdict is Verdict.ACCEPTABLE


def test_missed_and_refused_parts_are_named() -> None:
    read = read_study(answers("a ar aa", "r rr aa", "r ra rr"))
    first, second = read.judges
    assert (first.refused, first.missed, first.unsteady) == (("P1",), ("P3",), ("P1", "P3"))
    assert (second.refused, second.missed, second.steady_wrong) == ((), ("P2",), ("P2",))


blocks = st.tuples(st.integers(2, 12), st.integers(1, 4), st.integers(1, 4)).flatmap(
    lambda size: st.tuples(
        st.lists(st.booleans(), min_size=size[0], max_size=size[0]),
        st.lists(
            st.lists(
                st.lists(st.booleans(), min_size=size[2], max_size=size[2]).map(tuple),
                min_size=size[1],
                max_size=size[1],
            ).map(tuple),
            min_size=size[0],
            max_size=size[0],
        ),
    )
)


@given(blocks)
def test_counts_add_up(block: tuple[list[bool], list[tuple[tuple[bool, ...], ...]]]) -> None:
    reference, accepted = block
    read = read_study(
        Answers(
            tuple(str(n) for n in range(len(reference))),
            tuple(reference),
            tuple("ABCD"[: len(accepted[0])]),
            tuple(accepted),
        )
    )
    against = sum(part.against for part in read.parts)
    errors = sum(
        judge.figures.misses.count + judge.figures.false_alarms.count for judge in read.judges
    )
    assert against == errors
    right = len(read.parts) - len(read.disputed)
    assert read.figures.system.count == right
    for judge in read.judges:
        wrong = len(judge.unsteady) + len(judge.steady_wrong)
        assert judge.figures.effectiveness.count == len(reference) - wrong
        assert len(judge.missed) + len(judge.refused) == wrong


@pytest.mark.parametrize(
    ("rounds", "expected"),
    [
        ({}, (0, ())),
        ({"A": 0, "B": 0}, (0, ())),
        ({"A": 3, "B": 3, "C": 1}, (3, ("A", "B"))),
        ({"A": 3, "B": 1, "C": 1}, (1, ("A", "B", "C"))),
        ({"A": 2, "B": 0}, (2, ("A",))),
    ],
)
def test_the_block_that_keeps_most_answers(
    rounds: dict[str, int], expected: tuple[int, tuple[str, ...]]
) -> None:
    assert full_block(rounds) == expected
