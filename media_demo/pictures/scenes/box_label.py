"""The box label and the job ticket of the invented plant, as pictures to be printed."""

import unicodedata
from dataclasses import dataclass, fields
from typing import TypeAlias

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from media_demo.pictures.kinds import Side
from media_demo.pictures.regions import shape_outline

PX_PER_MM = 14
LABEL_MM = (112.0, 80.0)
TICKET_MM = (100.0, 124.0)
Colour: TypeAlias = tuple[int, int, int]
INK: Colour = (26, 27, 30)
FAINT: Colour = (78, 80, 84)
HAND_INK: dict[str, Colour] = {"left": (33, 76, 148), "right": (219, 115, 26)}
HAND_WORDS = {"left": "LEFT / IZQUIERDA", "right": "RIGHT / DERECHA", "": "NO HAND / SIN MANO"}
HAND_LETTER = {"left": "L", "right": "R", "": ""}


@dataclass(frozen=True)
class LabelFields:
    """What a label says; ``hand`` is left, right or empty."""

    part_no: str
    name: str
    hand: str
    colour: str
    revision: str
    quantity: str
    date: str
    shift: str
    press: str
    cavities: str
    operator: str
    job: str
    lot: str

    def pairs(self, prefix: str) -> tuple[tuple[str, str], ...]:
        """Every field with its name after a prefix."""
        return tuple((f"{prefix}.{f.name}", str(getattr(self, f.name))) for f in fields(self))


def _without_accents(text: str) -> str:
    return "".join(unicodedata.normalize("NFD", letter)[0] for letter in text)


CAPTIONS = {
    "part_no": "Part no / No. de pieza",
    "name": "Name / Nombre",
    "hand": "Hand / Mano",
    "colour": "Colour / Color",
    "revision": "Revision / Revisión",
    "quantity": "Quantity / Cantidad",
    "date": "Date / Fecha",
    "shift": "Shift, hour / Turno, hora",
    "press": "Press / Prensa",
    "cavities": "Cavity set / Cavidades",
    "operator": "Operator / Operador",
    "job": "Job / Trabajo",
    "lot": "Lot / Lote",
}
_SHORT = {
    "colour": "COLOUR / COLOR",
    "revision": "REV.",
    "quantity": "QTY / CANT.",
    "date": "DATE / FECHA",
    "shift": "SHIFT / TURNO",
    "press": "PRESS / PRENSA",
    "cavities": "CAV.",
    "operator": "OPERATOR / OPER.",
    "job": "JOB / TRABAJO",
    "lot": "LOT / LOTE",
}
# rows of the label's grid: field and width share
_ROWS = (
    (("colour", 0.52), ("revision", 0.16), ("quantity", 0.32)),
    (("date", 0.30), ("shift", 0.42), ("press", 0.28)),
    (("cavities", 0.20), ("operator", 0.30), ("job", 0.24), ("lot", 0.26)),
)


class _Pen:
    """Draws in millimetres from the top left of a sheet."""

    def __init__(self, size_mm: tuple[float, float], paper: Colour) -> None:
        size = (round(size_mm[0] * PX_PER_MM), round(size_mm[1] * PX_PER_MM))
        self.image = Image.new("RGB", size, paper)
        self.draw = ImageDraw.Draw(self.image)

    def words(
        self,
        x: float,
        y: float,
        text: str,
        cap_mm: float,
        ink: Colour = INK,
        *,
        bold: float = 0.0,
        anchor: str = "ls",
        room: float | None = None,
    ) -> None:
        """Write with capitals ``cap_mm`` high on a base line, narrower where room is short."""
        font = ImageFont.load_default(size=cap_mm * PX_PER_MM / 0.70)
        if room is not None and font.getlength(text) > room * PX_PER_MM:
            cap_mm *= room * PX_PER_MM / font.getlength(text)
            font = ImageFont.load_default(size=cap_mm * PX_PER_MM / 0.70)
        plain = _without_accents(text)
        place = (x * PX_PER_MM, y * PX_PER_MM)
        width = round(bold * PX_PER_MM)
        self.draw.text(place, plain, ink, font=font, anchor=anchor, stroke_width=width)
        start = place[0] - (font.getlength(plain) if anchor[0] == "r" else 0)
        em = cap_mm * PX_PER_MM
        for i, letter in enumerate(text):
            if letter == plain[i]:
                continue
            # the built-in font has no accents
            left, right = font.getlength(plain[:i]), font.getlength(plain[: i + 1])
            middle = start + (left + right) / 2
            low = place[1] - em * (1.10 if letter.isupper() else 0.86)
            stroke = (middle - 0.02 * em, low, middle + 0.16 * em, low - 0.20 * em)
            self.draw.line(stroke, fill=ink, width=max(round(0.10 * em), 1) + width)

    def box(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        *,
        fill: Colour | None = None,
        line: float = 0.0,
    ) -> None:
        where = [n * PX_PER_MM for n in (x0, y0, x1, y1)]
        width = max(round(line * PX_PER_MM), 1)
        self.draw.rectangle(where, fill=fill, outline=INK if line else None, width=width)

    def rule(self, x0: float, y0: float, x1: float, y1: float, width: float = 0.3) -> None:
        line = [n * PX_PER_MM for n in (x0, y0, x1, y1)]
        self.draw.line(line, fill=INK, width=round(width * PX_PER_MM))


def label_picture(content: LabelFields, side: Side) -> Image.Image:
    """The box label: hand band, part number, name, and a grid of the rest."""
    pen = _Pen(LABEL_MM, (250, 250, 247))
    wide, tall = LABEL_MM
    pen.box(1.6, 1.6, wide - 1.6, tall - 1.6, line=0.5)
    band = HAND_INK.get(content.hand, (62, 64, 68))
    pen.box(1.6, 1.6, wide - 1.6, 17.6, fill=band)
    x = 6.0
    if content.hand:
        _ring(pen, band, HAND_LETTER[content.hand])
        x = 21.0
    pen.words(x, 12.2, HAND_WORDS[content.hand], 5.0, (252, 252, 250), bold=0.12, room=62)
    _silhouette(pen, side, content.hand == "right", band)
    pen.words(5, 28.6, content.part_no, 7.4, bold=0.16)
    pen.words(5, 36.4, content.name, 2.9, room=wide - 10)
    top, step = 39.6, (tall - 1.6 - 39.6) / 3
    for i, row in enumerate(_ROWS):
        y = top + i * step
        pen.rule(1.6, y, wide - 1.6, y)
        x = 1.6
        for name, share in row:
            room = (wide - 3.2) * share
            pen.words(x + 1.6, y + 3.4, _SHORT[name], 1.6, FAINT, room=room - 3)
            value = str(getattr(content, name))
            pen.words(x + 1.8, y + 10.6, value, 4.3, bold=0.07, room=room - 3.4)
            if x > 2:
                pen.rule(x, y, x, y + step)
            x += room
    return pen.image


def _ring(pen: _Pen, ink: Colour, letter: str) -> None:
    """The hand's letter in a white disc at the left of the band."""
    x, y, r = 11.0, 9.6, 6.6
    where = [n * PX_PER_MM for n in (x - r, y - r, x + r, y + r)]
    pen.draw.ellipse(where, fill=(252, 252, 250))
    pen.words(x, y + 0.2, letter, 7.0, ink, bold=0.3, anchor="mm")


def _silhouette(pen: _Pen, side: Side, mirrored: bool, band: Colour) -> None:
    """The part's outline with the feature that tells the hands apart."""
    middle, room = (LABEL_MM[0] - 16.0, 9.6), (23.0, 12.5)
    box = side.bounds
    scale = min(room[0] / (box.u1 - box.u0), room[1] / (box.v1 - box.v0))
    cu, cv = (box.u0 + box.u1) / 2, (box.v0 + box.v1) / 2
    sign = -1 if mirrored else 1
    points = [
        (
            (middle[0] + sign * (u - cu) * scale) * PX_PER_MM,
            (middle[1] - (v - cv) * scale) * PX_PER_MM,
        )
        for u, v in shape_outline(side.outline, 0.8)
    ]
    pen.draw.polygon(points, fill=(252, 252, 250), outline=band)


def ticket_picture(content: LabelFields, seed: int) -> Image.Image:
    """The job ticket: the same fields in a list, hands told by word, letter and bar."""
    rng = np.random.default_rng(seed)
    pen = _Pen(TICKET_MM, (246, 240, 214))
    wide, tall = TICKET_MM
    pen.box(2, 2, wide - 2, tall - 2, line=0.35)
    pen.words(6, 11.5, "JOB TICKET", 4.2, bold=0.1)
    pen.words(wide - 6, 11.5, "ORDEN DE TRABAJO", 2.8, FAINT, anchor="rs")
    pen.rule(2, 15.5, wide - 2, 15.5, 0.5)
    step = (tall - 30.0) / len(CAPTIONS)
    for i, (name, caption) in enumerate(CAPTIONS.items()):
        y = 15.5 + (i + 1) * step
        pen.words(5, y - 1.9, caption, 1.75, FAINT, room=31)
        value = str(getattr(content, name))
        if name == "hand":
            if value:
                bar = HAND_INK[value]
                pen.box(wide - 12, y - step + 1, wide - 4, y - 1, fill=bar)
            value = HAND_WORDS[value] + (f"   {HAND_LETTER[value]}" if value else "")
        pen.words(
            38, y - 1.9, value, 3.1, bold=0.04, room=wide - 53 if name == "hand" else wide - 43
        )
        pen.rule(2, y, wide - 2, y, 0.12)
    pen.words(5, tall - 6.5, "Read aloud, then sign / Leer en voz alta y firmar", 1.6, FAINT)
    _initials(pen, wide - 24, tall - 7.5, rng)
    return pen.image


def _initials(pen: _Pen, x: float, y: float, rng: np.random.Generator) -> None:
    """A scribble of a pen."""
    t = np.linspace(0, 1, 60)
    a, b = rng.uniform(1.5, 3.5, 2)
    xs = x + 14 * t + 1.3 * np.sin(2 * np.pi * a * 2 * t)
    ys = y + 2.3 * np.cos(2 * np.pi * b * 2 * t) * (1 - 0.5 * t)
    points = [(float(px) * PX_PER_MM, float(py) * PX_PER_MM) for px, py in zip(xs, ys, strict=True)]
    pen.draw.line(points, fill=(36, 52, 122), width=5, joint="curve")
