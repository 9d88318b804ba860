"""What counts: hits, misses, wrong places, false rejects, and the counts of a sitting."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.scoring import (
    MISSES,
    Answer,
    Counts,
    FamilyCount,
    Outcome,
    Part,
    Place,
    Target,
    Truth,
    count_answers,
    distance_to,
    outcome,
    tolerance_px,
)

SQUARE = [[100, 100], [200, 100], [200, 200], [100, 200]]
BAD = Truth("burn", Part.BAD, reject=True, targets={"v": Target((SQUARE,), 40.0)})
GOOD = Truth("burn", Part.GOOD, reject=False)
IN_PLACE = Place("v", 150, 150)

coordinate = st.integers(-500, 500)
points = st.tuples(coordinate, coordinate)


def reject(
    place: Place | None = IN_PLACE, family: str = "burn", action: str = "segregate"
) -> Answer:
    return Answer(True, place, family, action)


def test_a_reject_in_the_region_is_a_hit() -> None:
    assert outcome(BAD, reject()) is Outcome.HIT


def test_an_accepted_bad_part_is_missed() -> None:
    assert outcome(BAD, Answer(reject=False)) is Outcome.MISSED


@pytest.mark.parametrize(("x", "hit"), [(240, True), (241, False), (60, True), (59, False)])
def test_the_tolerance_decides_at_its_edge(x: int, hit: bool) -> None:
    said = outcome(BAD, reject(Place("v", x, 150)))
    assert said is (Outcome.HIT if hit else Outcome.WRONG_PLACE)


def test_a_wrong_place_is_a_miss() -> None:
    assert outcome(BAD, reject(Place("v", 900, 900))) in MISSES


def test_no_place_where_one_is_asked_is_a_wrong_place() -> None:
    assert outcome(BAD, reject(None)) is Outcome.WRONG_PLACE


def test_a_place_on_another_view_is_a_wrong_place() -> None:
    assert outcome(BAD, reject(Place("w", 150, 150))) is Outcome.WRONG_PLACE


def test_whole_part_families_ask_for_no_place() -> None:
    warp = Truth("warp", Part.BAD, reject=True)
    assert outcome(warp, reject(None)) is Outcome.HIT
    assert outcome(warp, reject(Place("v", 1, 1))) is Outcome.HIT


def test_keep_running_on_a_critical_specimen_is_a_miss() -> None:
    critical = Truth("crack", Part.BAD, reject=True, critical=True)
    assert outcome(critical, reject(None, action="keep_running")) is Outcome.KEPT_RUNNING
    ordinary = Truth("burn", Part.BAD, reject=True)
    assert outcome(ordinary, reject(None, action="keep_running")) is Outcome.HIT


def test_a_good_part_refused_is_a_false_reject_wherever_it_was_tapped() -> None:
    assert outcome(GOOD, reject()) is Outcome.FALSE_REJECT
    assert outcome(GOOD, Answer(reject=False)) is Outcome.ACCEPTED


@given(
    family=st.sampled_from(["burn", "black-specks", "crack", ""]),
    truth=st.sampled_from([BAD, GOOD]),
)
def test_a_wrong_family_never_changes_the_outcome(family: str, truth: Truth) -> None:
    assert outcome(truth, reject(family=family)) is outcome(truth, reject())


@given(point=points)
def test_distance_to_a_square_is_the_plain_one(point: tuple[int, int]) -> None:
    beyond = [max(100 - value, 0, value - 200) for value in point]
    assert distance_to(SQUARE, point) == pytest.approx(math.hypot(*beyond))


@given(corners=st.lists(points, min_size=1, max_size=8), shift=points, point=points)
def test_distance_moves_with_the_picture(
    corners: list[tuple[int, int]], shift: tuple[int, int], point: tuple[int, int]
) -> None:
    moved = [(x + shift[0], y + shift[1]) for x, y in corners]
    there = (point[0] + shift[0], point[1] + shift[1])
    assert distance_to(moved, there) == pytest.approx(distance_to(corners, point))


@given(corners=st.lists(points, min_size=1, max_size=8))
def test_every_corner_lies_on_its_polygon(corners: list[tuple[int, int]]) -> None:
    assert all(distance_to(corners, corner) == 0 for corner in corners)


@given(corners=st.lists(points, min_size=1, max_size=8), point=points)
def test_no_polygon_is_further_than_its_nearest_corner(
    corners: list[tuple[int, int]], point: tuple[int, int]
) -> None:
    nearest = min(math.dist(corner, point) for corner in corners)
    assert 0 <= distance_to(corners, point) <= nearest + 1e-9


def test_a_polygon_without_points_is_refused() -> None:
    with pytest.raises(ValueError, match="outline the region again"):
        distance_to([], (0, 0))


def test_the_tolerance_is_never_less_than_a_finger() -> None:
    assert tolerance_px(6, 10, 40) == 60
    assert tolerance_px(6, 2, 40) == 40
    assert tolerance_px(6, None, 40) == 40


outcomes = st.lists(
    st.tuples(
        st.sampled_from(["burn", "black-specks"]),
        st.sampled_from([Part.BAD, Part.GOOD, Part.CRITICAL]),
        st.booleans(),
        st.booleans(),
    ),
    max_size=60,
)


@given(rows=outcomes)
def test_every_answer_is_counted_once_and_on_its_own_side(
    rows: list[tuple[str, Part, bool, bool]],
) -> None:
    pairs = []
    for family, part, says_reject, in_place in rows:
        truth = Truth(family, part, part is not Part.GOOD, targets={"v": Target((SQUARE,), 40.0)})
        place = IN_PLACE if in_place else Place("v", 900, 900)
        pairs.append((truth, Answer(says_reject, place, family, "segregate")))
    counts = count_answers(pairs, ["burn", "black-specks"], ["burn"])
    hit = [says and placed for _f, part, says, placed in rows if part is not Part.GOOD]
    assert counts.judged == len(rows)
    assert counts.missed + counts.critical_missed == hit.count(False)
    assert counts.false_rejects == sum(says for _f, part, says, _p in rows if part is Part.GOOD)
    assert Counts.from_json(counts.as_json()) == counts


def test_counts_keep_apart_why_something_was_missed() -> None:
    critical = Truth("burn", Part.BAD, True, critical=True, targets=BAD.targets)
    pairs = [
        (BAD, reject()),
        (BAD, reject(family="black-specks")),
        (BAD, reject(Place("v", 900, 900))),
        (BAD, Answer(reject=False)),
        (critical, reject(action="keep_running")),
    ]
    assert count_answers(pairs).families["burn"] == FamilyCount(
        bad=5, missed=3, wrong_place=1, kept_running=1, named_otherwise=1
    )


def test_families_without_a_judgement_stand_there_with_zeros() -> None:
    counts = count_answers([], ["burn"], ["crack"])
    assert counts.families == {"burn": FamilyCount()}
    assert counts.critical == {"crack": FamilyCount()}
