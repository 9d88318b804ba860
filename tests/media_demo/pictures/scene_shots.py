"""Small pictures of scenes, so that many can be rendered in a test run."""

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import pytest
from PIL import Image, ImageDraw

from media_demo.pictures.regions import Polygon
from media_demo.pictures.scenes import mixed_hands, wrong_label, wrong_pack


@contextmanager
def small_pictures() -> Iterator[None]:
    """Packs, boards and labels at half their width."""
    with pytest.MonkeyPatch.context() as patch:
        for module in (wrong_pack, mixed_hands, wrong_label):
            patch.setattr(module, "WIDTH", 600)
            patch.setattr(module, "HEIGHT", 450)
        patch.setattr(wrong_label, "SCALE", wrong_label.SCALE / 2)
        yield


def pixels(picture: Image.Image) -> np.ndarray:
    return np.asarray(picture, np.int16)


def inside(regions: tuple[Polygon, ...], picture: Image.Image) -> np.ndarray:
    image = Image.new("1", picture.size)
    draw = ImageDraw.Draw(image)
    for polygon in regions:
        draw.polygon(polygon, fill=1, outline=1)
    return np.asarray(image)


def difference(first: Image.Image, second: Image.Image) -> np.ndarray:
    steps: np.ndarray = np.abs(pixels(first) - pixels(second)).max(axis=2)
    return steps
