"""Mixed hands: parts on the outline board of one hand, or in its tote; some are the other.

``request.hand`` is the hand of the board or tote; ``severity`` is the number of pieces of
the other hand among them. ``site`` pins the scene: "board" or "tote".
"""

from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from media_demo.pictures.arrays import F32, Rgb, to_srgb
from media_demo.pictures.assembly import lay, part_in, place_in
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, SideName
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.resins import RESINS
from media_demo.pictures.scenes.props import print_picture, raise_solid
from media_demo.pictures.scenes.studio import (
    Studio,
    asked,
    bench_fields,
    draw_nuisance,
    in_world_axes,
    kind_of,
    mark_stream,
    open_studio,
    outline_of,
    pose_at,
    side_of,
)
from media_demo.pictures.scenes.wrong_pack import OTHER_HAND, render_layer
from media_demo.pictures.shapes import Box, Grown, Rim, Shape
from media_demo.pictures.truth import Look, Truth
from media_demo.pictures.view import Pose, View

UNIT = "pieces"
LADDER = (0, 1, 2, 3)
SITES = ("board", "tote")
WIDTH, HEIGHT, TILT = 1200, 900, 12.0
CLOSE = (960, 720)
THICK, STRIP, GAP = 5.0, 26.0, 15.0
# how far off the part the middle of its painted outline runs, and half its width, mm
OFF, BAND = 2.4, 1.1
BOARD: Rgb = (0.80, 0.80, 0.77)
FIELD: Rgb = (0.87, 0.87, 0.85)
HAND_COLOUR: dict[str, Rgb] = {"left": (0.13, 0.30, 0.58), "right": (0.86, 0.45, 0.10)}
HAND_WORDS = {"left": ("LEFT / IZQUIERDA", "L"), "right": ("RIGHT / DERECHA", "R")}


@dataclass(frozen=True)
class _Board:
    """An outline board: grid of outlines, the side that lies up, its place and hand."""

    columns: int
    rows: int
    side: Side
    hand: str
    pose: Pose
    cell: tuple[float, float]

    @property
    def half(self) -> tuple[float, float]:
        return self.columns * self.cell[0] / 2 + 6, self.rows * self.cell[1] / 2 + 6

    def place(self, view: View, index: int) -> tuple[float, float]:
        row, column = divmod(index, self.columns)
        x = (column - (self.columns - 1) / 2) * self.cell[0]
        y = ((self.rows - 1) / 2 - row) * self.cell[1]
        return replace(view, pose=self.pose).world(x, y)

    def part_pose(
        self, view: View, index: int, jitter: tuple[float, float, float], *, other: bool
    ) -> Pose:
        """How a piece lies in its outline, or would if it fitted."""
        x, y = self.place(view, index)
        turn = self.pose.turn_deg + jitter[2]
        mirrored = (self.hand == "right") != other
        return pose_at(self.side.bounds, x + jitter[0], y + jitter[1], turn, mirrored=mirrored)


def render(request: SpecimenRequest) -> RenderedSpecimen:
    """Render a board or tote with ``severity`` pieces of the other hand.

    Raises ValueError for a part kind that is not handed, and without a hand.
    """
    kind = kind_of(request)
    if not kind.handed or request.hand is None:
        raise ValueError(f"mixed-hands needs a handed part with its hand; {kind.slug} is asked")
    rng = mark_stream(request)
    choice = int(np.random.default_rng([request.seed, 6]).choice(2, p=[0.65, 0.35]))
    site = request.site or SITES[choice]
    if site == "tote":
        return render_layer(replace(request, site=None), (OTHER_HAND,))
    if site != "board":
        raise ValueError(f"mixed-hands is shown on a board or in a tote, not {site!r}")
    drawn = draw_nuisance(request, "form")
    front = np.random.default_rng([request.seed, 7]).random() < 0.6
    up: SideName = request.side or ("front" if front else "back")
    view, board = _board(side_of(kind, up), request.hand, drawn.turn_deg, drawn.x_mm)
    places = board.columns * board.rows
    count = min(round(asked(request, 1.0)), places)
    odd = frozenset(int(i) for i in rng.permutation(places)[:count])
    studio = open_studio(request, view, drawn, lit_by="grey")
    picture, seen = _shoot(studio, request, board, odd)
    near = None
    if request.close_up:
        near = _shoot(_nearer(request, studio, board, odd), request, board, odd)
    truth = Truth(
        family=request.family,
        severity=float(count),
        unit=UNIT,
        requested=asked(request, 1.0),
        zone="*",
        site="board",
        whole=seen,
        close_up=near[1] if near else None,
        seed=request.seed,
        shown=(("hand", request.hand), ("up", up), ("count", str(places))),
    )
    return RenderedSpecimen((picture,), near[0] if near else None, truth)


def _board(side: Side, hand: str, turn_deg: float, off: float) -> tuple[View, _Board]:
    """As many outlines as fill the picture well, and the view of the board."""
    box = side.bounds
    cell = (box.u1 - box.u0 + GAP, box.v1 - box.v0 + GAP)
    wide = max(cell) > 150
    columns, rows = (2, 3) if wide and cell[0] > 1.6 * cell[1] else (2, 2) if wide else (3, 3)
    board = _Board(columns, rows, side, hand, Pose(), cell)
    half_x, half_y = board.half
    scale = min(WIDTH * 0.455 / half_x, HEIGHT * 0.465 / (half_y + STRIP / 2))
    pose = Pose(turn_deg * 0.35, off * 2, -STRIP / 2 - 1)
    view = View(WIDTH, HEIGHT, int(scale * 20) / 20, TILT, Pose(), distance_mm=950.0)
    return view, replace(board, pose=pose)


def _shoot(
    studio: Studio, request: SpecimenRequest, board: _Board, odd: frozenset[int]
) -> tuple[Image.Image, Look]:
    """Photograph the board, and the odd places with the right pieces in them."""
    view = studio.view
    fields = _without_odd(studio, request, board, odd)
    if not odd:
        return studio.photograph(fields), Look((), view.px_per_mm, 0.0, 0)
    marks = [
        outline_of(view, _pose(studio, board, i, wrong=True), board.side, THICK)
        for i in sorted(odd)
    ]
    frames = studio.frames_of(marks)
    tallest = THICK + board.side.tallest
    clean = [fields.copy_of(studio.ground_of(frame, tallest)) for frame in frames]
    for i in sorted(odd):
        _put(fields, studio, request, board, i, wrong=True)
    twins = {}
    for frame, ground in zip(frames, clean, strict=True):
        for i in sorted(odd):
            _put(ground, studio, request, board, i, wrong=False)
        twins[frame] = studio.photograph(ground, frame)
    picture = studio.photograph(fields)
    return picture, studio.compare(picture, twins, marks)


def _pose(studio: Studio, board: _Board, index: int, *, wrong: bool) -> Pose:
    rng = np.random.default_rng([studio.drawn.part_seed, 3, index])
    off = np.clip(rng.normal(0, 0.5, 3), -1, 1)
    jitter = (float(off[0]), float(off[1]), float(off[2]) * 1.2)
    return board.part_pose(studio.view, index, jitter, other=wrong)


def _without_odd(
    studio: Studio, request: SpecimenRequest, board: _Board, odd: frozenset[int]
) -> Fields:
    """The board with its outlines, and the pieces on it that are of its hand."""
    fields = bench_fields(studio.view, THICK + board.side.tallest + 2, pose=board.pose)
    _make_board(fields, board)
    in_world_axes(fields)
    ink = HAND_COLOUR[board.hand]
    for i in range(board.columns * board.rows):
        pose = board.part_pose(studio.view, i, (0.0, 0.0, 0.0), other=False)
        _paint_place(fields, pose, board.side.outline, ink)
    for i in range(board.columns * board.rows):
        if i not in odd:
            _put(fields, studio, request, board, i, wrong=False)
    fields.texture_offset = studio.drawn.texture_offset
    return fields


def _put(
    fields: Fields,
    studio: Studio,
    request: SpecimenRequest,
    board: _Board,
    index: int,
    *,
    wrong: bool,
) -> None:
    """Lay a piece on the board, as far as the fields show it."""
    resin = RESINS[request.resin]
    colour = None if resin.clarity else to_srgb(studio.material.colour)
    pose = _pose(studio, board, index, wrong=wrong)
    if 0 in place_in(studio.view, pose, board.side).clipped(fields.window).shape:
        return
    piece = part_in(studio.view, pose, board.side, resin, studio.drawn.part_seed + index)
    lay(fields, piece, colour, lift=THICK)


def _make_board(fields: Fields, board: _Board) -> None:
    """The bare board with its head, in its own axes."""
    half_x, half_y = board.half
    plate = Box(0, STRIP / 2, half_x, half_y + STRIP / 2, 6)
    fields.alpha[:] = 0.42
    raise_solid(fields, plate, THICK, BOARD, fillet=0.8, draft=0.7)
    fields.grain[:] = 0.25
    strip = Box(0, half_y + STRIP / 2 - 3, half_x - 4, STRIP / 2 - 4, 2)
    print_picture(fields, _strip_picture(board.hand, strip), strip)


def _paint_place(fields: Fields, pose: Pose, outline: Shape, ink: Rgb) -> None:
    """Paint a place on the board: a pale field with the outline round it in the hand's colour."""
    posed = replace(fields.view, pose=pose)
    window = posed.ground_window(Rim(Grown(outline, OFF), BAND).bounds, 1.0).clipped(fields.window)
    for block in fields.strips(window.slices_in(fields.window)):
        first = fields.window.row0
        place = replace(window, row0=first + block[0].start, row1=first + block[0].stop)
        d = outline.distance(*posed.part_of(place))
        board = fields.solid[block] > F32(0.5)
        fields.tint(block, fields.cover(d - F32(OFF - 0.8)) * board, FIELD)
        fields.tint(block, fields.cover(np.abs(d - F32(OFF)) - F32(BAND)) * board, ink)


def _strip_picture(hand: str, strip: Box) -> Image.Image:
    """The board's head: the hand in two languages, its letter, its colour."""
    scale = 12
    size = (round(2 * strip.half_u * scale), round(2 * strip.half_v * scale))
    image = Image.new("RGB", size, tuple(round(255 * c) for c in HAND_COLOUR[hand]))
    draw = ImageDraw.Draw(image)
    words, letter = HAND_WORDS[hand]
    font = ImageFont.load_default(size=size[1] * 0.52)
    ink = (244, 244, 240)
    draw.text((size[1] * 0.5, size[1] / 2), words, ink, font=font, anchor="lm", stroke_width=2)
    r = size[1] * 0.40
    x, y = size[0] - size[1] * 0.75, size[1] / 2
    draw.ellipse((x - r, y - r, x + r, y + r), fill=ink)
    big = ImageFont.load_default(size=size[1] * 0.62)
    dark = tuple(round(190 * c) for c in HAND_COLOUR[hand])
    draw.text((x, y), letter, dark, font=big, anchor="mm", stroke_width=4)
    return image


def _nearer(request: SpecimenRequest, studio: Studio, board: _Board, odd: frozenset[int]) -> Studio:
    """The camera nearer to an odd piece (to any piece of a good board)."""
    places = board.columns * board.rows
    index = min(odd) if odd else studio.drawn.part_seed % places
    x, y = board.place(studio.view, index)
    scale = min(0.62 * CLOSE[0] / board.cell[0], 0.62 * CLOSE[1] / board.cell[1])
    view = replace(
        studio.view,
        width=CLOSE[0],
        height=CLOSE[1],
        px_per_mm=max(scale, studio.view.px_per_mm * 1.3),
        look_at=(x, y, THICK),
        keystone=0.0,
    )
    return open_studio(request, view, studio.drawn, lit_by="grey")
