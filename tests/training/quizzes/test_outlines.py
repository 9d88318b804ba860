"""Frames around defects: clear of them, around each that matters."""

from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.outlines import CLEARANCE, bounds, frame_path, frames

points = st.lists(st.tuples(st.integers(0, 1200), st.integers(0, 900)), min_size=1, max_size=8)
LINE = [[600, 400], [602, 400], [602, 480], [600, 480]]
BIT = [[900, 500], [902, 500], [902, 502]]


@given(polygons=st.lists(points, min_size=1, max_size=4))
def test_every_frame_stands_clear_inside_the_widened_bounds(
    polygons: list[list[tuple[int, int]]],
) -> None:
    around = bounds(polygons)
    assert around is not None
    for x0, y0, x1, y1 in frames(polygons):
        assert x1 - x0 >= 2 * CLEARANCE
        assert y1 - y0 >= 2 * CLEARANCE
        assert x0 >= around[0] - CLEARANCE
        assert y1 <= around[3] + CLEARANCE


def test_a_thin_line_is_framed_and_not_covered() -> None:
    assert frame_path([LINE]) == "M592 392H610V488H592z"


def test_a_stray_bit_beside_a_defect_is_not_framed() -> None:
    assert frames([LINE, BIT]) == frames([LINE])
    assert len(frames([BIT])) == 1


def test_without_outlines_there_is_nothing_to_draw() -> None:
    assert bounds([]) is None
    assert frame_path([]) == ""
