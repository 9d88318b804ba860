"""The visibility index on made-up differences."""

import numpy as np
import pytest

from media_demo.pictures.truth import changed, visibility

RNG = np.random.default_rng(5)


def scene(noise: float) -> np.ndarray:
    return (128 + RNG.normal(0, noise, (120, 160))).astype(np.float32)


def spot(size: float, step: float) -> tuple[np.ndarray, np.ndarray]:
    yy, xx = np.mgrid[:120, :160]
    inside = np.hypot(xx - 80, yy - 60) < size
    return (inside * step).astype(np.float32), inside


@pytest.mark.parametrize("size", [1.5, 4, 12])
def test_a_stronger_spot_is_plainer(size: float) -> None:
    clean = scene(1.0)
    marks = [spot(size, step) for step in (2.0, 8.0, 30.0)]
    indices = [visibility(clean + mark, clean, inside) for mark, inside in marks]
    assert indices == sorted(indices)
    assert indices[0] < 1 < indices[2]


def test_texture_hides_a_spot() -> None:
    mark, inside = spot(3, 10.0)
    smooth, rough = scene(0.5), scene(12.0)
    assert visibility(smooth + mark, smooth, inside) > 1.5 * visibility(rough + mark, rough, inside)


def test_a_long_line_is_plainer_than_a_short_one() -> None:
    clean = scene(3.0)
    indices = []
    for length in (4, 40):
        inside = np.zeros(clean.shape, bool)
        inside[60, 80 - length // 2 : 80 + length // 2] = True
        indices.append(visibility(clean + inside * np.float32(9), clean, inside))
    assert indices[1] > 1.3 * indices[0]


def test_nothing_is_seen_where_nothing_is() -> None:
    clean = scene(1.0)
    assert visibility(clean, clean, np.zeros(clean.shape, bool)) == 0
    assert not changed(clean, clean).any()
    mark, inside = spot(6, 20.0)
    found = changed(clean + mark, clean)
    assert found[inside].mean() > 0.95
    assert found[~inside].mean() < 0.02
