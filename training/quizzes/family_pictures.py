"""The picture that stands for a family in the pick: the defect, cut out of a teaching picture."""

import io
from collections.abc import Sequence
from typing import Final

from django.http import HttpResponse
from PIL import Image

from training.quizzes.selectors.booth import Outlined
from training.specimens.pictures.storage import path_of
from training.specimens.serving import CACHE

WIDTH, HEIGHT = 300, 180
# So much of the part stands around the defect, in picture pixels.
AROUND: Final = 40
QUALITY: Final = 82


def crop_box(
    polygons: Sequence[Sequence[Sequence[float]]], width: int, height: int
) -> tuple[int, int, int, int]:
    """Return the box around the largest outline, in the shape of the tile, inside the picture."""
    boxes = [_bounds(polygon) for polygon in polygons if polygon]
    if not boxes:
        return 0, 0, width, height
    x0, y0, x1, y1 = max(boxes, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]))
    w = max(x1 - x0 + 2 * AROUND, (y1 - y0 + 2 * AROUND) * WIDTH / HEIGHT)
    w = min(w, width, height * WIDTH / HEIGHT)
    h = w * HEIGHT / WIDTH
    left = min(max((x0 + x1 - w) / 2, 0), width - w)
    top = min(max((y0 + y1 - h) / 2, 0), height - h)
    return round(left), round(top), round(left + w), round(top + h)


def _bounds(polygon: Sequence[Sequence[float]]) -> tuple[float, float, float, float]:
    xs, ys = [point[0] for point in polygon], [point[1] for point in polygon]
    return min(xs), min(ys), max(xs), max(ys)


def family_response(outlined: Outlined) -> HttpResponse:
    """Return the tile of a family as a JPEG that the browser may keep."""
    frame = outlined.frame
    with Image.open(path_of(frame.file)) as picture:
        box = crop_box(outlined.polygons, frame.width, frame.height)
        tile = picture.convert("RGB").crop(box).resize((WIDTH, HEIGHT), Image.Resampling.HAMMING)
    data = io.BytesIO()
    tile.save(data, "JPEG", quality=QUALITY)
    response = HttpResponse(data.getvalue(), content_type="image/jpeg")
    response.headers["Cache-Control"] = CACHE
    return response
