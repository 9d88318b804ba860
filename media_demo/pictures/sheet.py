"""Contact sheets: how every part and every family looks, at a glance."""

from PIL import Image, ImageDraw, ImageFont

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.kinds import Hand, PartKind
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes.gauges import reaches
from media_demo.pictures.scenes.ladders import GAUGE_LADDERS
from media_demo.pictures.scenes.registry import GAUGED, SCENES
from media_demo.pictures.specimens import render_specimen
from media_demo.pictures.truth import Look

TILE = (480, 360)
CAPTION = 22
COLUMNS = 6
# the resins each part kind is moulded in at the plant
RESINS_OF = {
    "fascia": ("white", "graphite"),
    "hinge_cover": ("white",),
    "shelf_end_cap": ("white",),
    "drawer_front": ("clear",),
    "handle_cap": ("graphite",),
    "detergent_lid": ("white",),
    "hood_trim": ("gloss black",),
    "knob": ("black", "stainless grey"),
    "latch_hook": ("natural",),
    "latch_lever": ("black",),
    "vacuum_half": ("graphite", "red"),
    "kettle_lid": ("white", "black"),
    "water_tank": ("clear",),
    "tank_lid": ("grey",),
    "vent_cover": ("graphite",),
}


def make_sheet(family: str | None = None, *, seed: int = 11) -> Image.Image:
    """A contact sheet of one family, or (without one) of all parts and families.

    A family's sheet has its severity ladder on one part, everything else alike, then the
    family on other parts, whole with the true outline and close up, and its gauge's
    readings where one measures it. Raises ValueError for an unknown family.
    """
    if family is None:
        return _lay_out(_overview(seed))
    if family not in FAMILIES and family not in SCENES:
        known = ", ".join(sorted({*FAMILIES, *SCENES}))
        raise ValueError(f"unknown family {family!r}; one of {known}")
    gauged = _gauged(family, seed) if family in GAUGED else []
    if family in SCENES:
        return _lay_out(_scenes(family, seed) + gauged)
    return _lay_out(_ladder(family, seed) + _elsewhere(family, seed) + gauged)


def _hand(kind: PartKind, i: int = 0) -> Hand | None:
    if not kind.handed:
        return None
    return "right" if i % 2 else "left"


def _overview(seed: int) -> list[tuple[Image.Image, str]]:
    tiles = []
    for i, (slug, resins) in enumerate(RESINS_OF.items()):
        for side in KINDS[slug].sides:
            made = render_specimen(
                SpecimenRequest(
                    slug, resins[i % len(resins)], seed + i, hand=_hand(KINDS[slug]), side=side
                )
            )
            tiles.append((made.frames[0], f"{slug}, {side}"))
    for i, family in enumerate(FAMILIES):
        slug, resin = places_for(family)[i % len(places_for(family))]
        request = SpecimenRequest(
            slug, resin, seed + 50 + i, hand=_hand(KINDS[slug], i), family=family, close_up=True
        )
        made = render_specimen(request)
        tiles.append((made.close_up or made.frames[0], _caption(made)))
    return tiles


def places_for(family: str) -> list[tuple[str, str]]:
    """Part kinds with the resins in which a family can be shown."""
    sites = FAMILIES[family].sites
    found = []
    for slug, resins in RESINS_OF.items():
        kind = KINDS[slug]
        if "whole" in sites or kind.sides_for(sites, FAMILIES[family].zones):
            found += [(slug, resin) for resin in resins]
    return found


def _ladder(family: str, seed: int) -> list[tuple[Image.Image, str]]:
    slug, resin = places_for(family)[0]
    near, whole = [], []
    for severity in FAMILIES[family].ladder:
        made = render_specimen(
            SpecimenRequest(
                slug,
                resin,
                seed,
                hand=_hand(KINDS[slug]),
                family=family,
                severity=severity,
                close_up=True,
            )
        )
        near.append((made.close_up or made.frames[0], _caption(made)))
        whole.append((outlined(made.frames[0], made.truth.whole), f"{slug} {resin}"))
    return near + whole


def _elsewhere(family: str, seed: int) -> list[tuple[Image.Image, str]]:
    tiles = []
    places = places_for(family)
    for i in range(6):
        slug, resin = places[(i * 5 + 1) % len(places)]
        request = SpecimenRequest(
            slug, resin, seed + 100 + i, hand=_hand(KINDS[slug], i), family=family, close_up=True
        )
        made = render_specimen(request)
        tiles.append((outlined(made.frames[0], made.truth.whole), f"{slug} {resin}"))
        tiles.append((made.close_up or made.frames[0], _caption(made)))
    return tiles


def _scenes(family: str, seed: int) -> list[tuple[Image.Image, str]]:
    tiles = []
    for i in range(12):
        slug, resins = list(RESINS_OF.items())[i % len(RESINS_OF)]
        request = SpecimenRequest(
            slug, resins[0], seed + i, hand=_hand(KINDS[slug], i), family=family
        )
        try:
            made = render_specimen(request)
        except ValueError:
            continue
        tiles.append((outlined(made.frames[0], made.truth.whole), _caption(made)))
    return tiles


def _gauged(family: str, seed: int) -> list[tuple[Image.Image, str]]:
    """The readings of the family's gauge, from nothing through the usual limit to gross."""
    slug = next(s for s in RESINS_OF if any(reaches(s, family, zone) for zone in "ABCF"))
    tiles = []
    for reading in GAUGE_LADDERS[family]:
        request = SpecimenRequest(
            slug,
            RESINS_OF[slug][0],
            seed,
            hand=_hand(KINDS[slug]),
            family=family,
            severity=reading,
            close_up=True,
            gauge=True,
        )
        made = render_specimen(request)
        tiles.append((made.close_up or made.frames[0], _caption(made)))
    return tiles


def _caption(made: RenderedSpecimen) -> str:
    truth = made.truth
    near = truth.close_up.visibility if truth.close_up else 0.0
    return (
        f"{truth.family} {truth.severity:.2f} {truth.unit} {truth.zone} {truth.site}"
        f"  sees {truth.whole.visibility:.1f}/{near:.1f}"
    )


def outlined(picture: Image.Image, look: Look) -> Image.Image:
    """A copy of a picture with the true outlines drawn in."""
    copy = picture.copy()
    draw = ImageDraw.Draw(copy)
    for polygon in look.regions:
        draw.polygon(polygon, outline=(255, 60, 40), width=2)
    return copy


def _lay_out(tiles: list[tuple[Image.Image, str]]) -> Image.Image:
    rows = -(-len(tiles) // COLUMNS)
    font = ImageFont.load_default(size=13)
    width, height = TILE
    sheet = Image.new("RGB", (COLUMNS * width, rows * (height + CAPTION)), (24, 26, 28))
    draw = ImageDraw.Draw(sheet)
    for i, (picture, words) in enumerate(tiles):
        x, y = i % COLUMNS * width, i // COLUMNS * (height + CAPTION)
        sheet.paste(picture.resize(TILE, Image.Resampling.LANCZOS), (x, y))
        draw.text((x + 6, y + height + 4), words, (220, 222, 224), font=font)
    return sheet
