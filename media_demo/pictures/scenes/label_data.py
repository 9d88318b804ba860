"""What the labels of the plant's jobs say, and how one field of a label goes wrong."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from media_demo.pictures.scenes.box_label import LabelFields

# part kind, resin -> part number, name, job (left hand first), press, cavities, pack,
# revision (left hand first); the same data as the plant's jobs
_JOBS: dict[tuple[str, str], tuple[str, str, tuple[str, ...], str, int, int]] = {
    ("fascia", "white"): ("PR01-10", "Control-panel fascia", ("101",), "P13", 1, 40),
    ("fascia", "graphite"): ("PR01-20", "Control-panel fascia", ("102",), "P13", 1, 40),
    ("hinge_cover", "white"): ("PR02-10", "Dryer hinge cover", ("103", "104"), "P07", 2, 60),
    ("shelf_end_cap", "white"): ("PR03-10", "Door-shelf end cap", ("105", "106"), "P05", 2, 120),
    ("drawer_front", "clear"): ("PR04-30", "Crisper drawer front", ("107",), "P12", 1, 24),
    ("handle_cap", "graphite"): ("PR05-20", "Handle end cap", ("108", "109"), "P03", 4, 100),
    ("detergent_lid", "white"): ("PR06-10", "Detergent lid", ("110",), "P06", 2, 50),
    ("hood_trim", "gloss black"): ("PR07-40", "Range-hood side trim", ("111", "112"), "P11", 1, 48),
    ("knob", "black"): ("PR08-50", "Oven control knob", ("113",), "P02", 4, 200),
    ("knob", "stainless grey"): ("PR08-60", "Oven control knob", ("114",), "P02", 4, 200),
    ("latch_hook", "natural"): ("PR09-70", "Microwave latch hook", ("115",), "P01", 8, 500),
    ("latch_lever", "black"): ("PR09-50", "Microwave latch lever", ("116",), "P01", 8, 500),
    ("vacuum_half", "graphite"): ("PR10-20", "Vacuum housing half", ("117", "118"), "P14", 1, 24),
    ("vacuum_half", "red"): ("PR10-80", "Vacuum housing half", ("119", "120"), "P10", 1, 24),
    ("kettle_lid", "white"): ("PR11-10", "Kettle lid", ("121",), "P04", 2, 96),
    ("kettle_lid", "black"): ("PR11-50", "Kettle lid", ("122",), "P04", 2, 96),
    ("water_tank", "clear"): ("PR12-30", "Water tank", ("123",), "P09", 1, 20),
    ("tank_lid", "grey"): ("PR12-90", "Tank lid", ("124",), "P08", 2, 80),
    ("vent_cover", "graphite"): ("PR13-20", "Vent cover", ("130",), "P10", 1, 36),
}
_SPANISH = {
    "Control-panel fascia": "Carátula de panel de control",
    "Dryer hinge cover": "Cubierta de bisagra de secadora",
    "Door-shelf end cap": "Tapa lateral de repisa de puerta",
    "Crisper drawer front": "Frente de cajón para verduras",
    "Handle end cap": "Tapa lateral de jaladera",
    "Detergent lid": "Tapa de detergente",
    "Range-hood side trim": "Moldura lateral de campana",
    "Oven control knob": "Perilla de horno",
    "Microwave latch hook": "Gancho de cierre de microondas",
    "Microwave latch lever": "Palanca de cierre de microondas",
    "Vacuum housing half": "Media carcasa de aspiradora",
    "Kettle lid": "Tapa de tetera eléctrica",
    "Water tank": "Tanque de agua",
    "Tank lid": "Tapa de tanque",
    "Vent cover": "Tapa de ventilación",
}
COLOURS = {
    "white": "white / blanco",
    "ivory": "ivory / marfil",
    "graphite": "graphite / grafito",
    "black": "black / negro",
    "gloss black": "gloss black / negro brillante",
    "stainless grey": "stainless grey / gris inoxidable",
    "grey": "grey / gris",
    "natural": "natural / natural",
    "red": "red / rojo",
    "clear": "clear / transparente",
}
_MONTHS = ("JAN", "MAR", "MAY", "JUN", "SEP", "OCT")
_SHIFTS = {"Days": 6, "Lates": 14, "Nights": 22}


def right_fields(part: str, resin: str, hand: str, rng: np.random.Generator) -> LabelFields:
    """What label and ticket of a box of the job say; run data are drawn."""
    if (part, resin) not in _JOBS:
        raise ValueError(f"no job of the plant makes {part} in {resin}")
    number, name, jobs, press, cavities, pack = _JOBS[part, resin]
    shift = str(rng.choice(list(_SHIFTS)))
    hour = (_SHIFTS[shift] + int(rng.integers(1, 8))) % 24
    cavity_set = "1" if cavities == 1 else f"1-{cavities}"
    return LabelFields(
        part_no=number,
        name=f"{name} / {_SPANISH[name]}",
        hand=hand,
        colour=COLOURS[resin],
        revision="BCDEF"[int(rng.integers(5))],
        quantity=str(pack),
        date=f"{int(rng.integers(3, 28)):02d} {_MONTHS[int(rng.integers(6))]}",
        shift=f"{shift} {hour:02d}:{int(rng.integers(0, 12)) * 5:02d}",
        press=press,
        cavities=cavity_set,
        operator=f"10{int(rng.integers(11, 89))}",
        job=jobs[1] if hand == "right" and len(jobs) > 1 else jobs[0],
        lot=f"R-{int(rng.integers(310, 890))}",
    )


def _part_no(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    head, tail = c.part_no.split("-")
    other = str((int(tail[0]) + int(rng.choice((1, 2, 8)))) % 9 + 1) + tail[1:]
    return replace(c, part_no=f"{head}-{other if other != tail else '95'}")


def _hand(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    return replace(c, hand={"left": "right", "right": "left"}[c.hand])


def _colour(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    others = [name for name in COLOURS.values() if name != c.colour]
    return replace(c, colour=others[int(rng.integers(len(others)))])


def _revision(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    return replace(c, revision=chr(ord(c.revision) - 1))


def _quantity(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    n = int(c.quantity)
    return replace(c, quantity=str(n + int(rng.choice((-10, -2, 2, 10))) if n > 10 else n + 2))


def _date(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    return replace(c, date=f"{int(c.date[:2]) - int(rng.integers(1, 3)):02d}{c.date[2:]}")


def _shift(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    name, hour = c.shift.split()
    others = [s for s in _SHIFTS if s != name]
    return replace(c, shift=f"{others[int(rng.integers(2))]} {hour}")


def _press(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    return replace(c, press=f"P{(int(c.press[1:]) + int(rng.integers(1, 12))) % 14 + 1:02d}")


def _operator(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    return replace(c, operator=f"10{(int(c.operator[2:]) + int(rng.integers(5, 60))) % 78 + 11}")


def _job(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    return replace(c, job=str(int(c.job) + (1 if int(c.job) % 2 else -1)))


def _lot(c: LabelFields, rng: np.random.Generator) -> LabelFields:
    return replace(c, lot=f"R-{int(c.lot[2:]) - int(rng.integers(1, 12))}")


WRONG: dict[str, Callable[[LabelFields, np.random.Generator], LabelFields]] = {
    "part_no": _part_no,
    "hand": _hand,
    "colour": _colour,
    "revision": _revision,
    "quantity": _quantity,
    "date": _date,
    "shift": _shift,
    "press": _press,
    "operator": _operator,
    "job": _job,
    "lot": _lot,
}
