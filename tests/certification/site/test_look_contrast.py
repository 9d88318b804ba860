"""The colours of the tokens keep the contrast that WCAG 2.2 asks for, in light and in dark."""

import re
from pathlib import Path

import pytest

from certification.site import shapes

CSS = Path(shapes.__file__).parent / "static" / "css"
TEXT, CONTROL = 4.5, 3.0


def luminance(colour: str) -> float:
    """Relative luminance of a #RRGGBB colour (WCAG 2.2, definition "relative luminance")."""
    short = colour.lstrip("#")
    full = "".join(each * 2 for each in short) if len(short) == 3 else short
    parts = [int(full[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (WCAG 2.2, definition "contrast ratio")."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def tokens(scheme: str) -> dict[str, str]:
    source = (CSS / "tokens.css").read_text()
    light, rest = source.split("@media (prefers-color-scheme: dark)")
    dark, rest = rest.split("/* the judging booth")
    booth = rest.split("}")[0]
    chosen = {
        "light": light,
        "dark": light + dark,
        "booth": light + booth,
        "booth in the dark": light + dark + booth,
    }[scheme]
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9A-Fa-f]{3,6})", chosen))


def test_the_measure_agrees_with_known_values() -> None:
    """Black on white is 21; #767676 on white is the well-known lightest grey that passes, 4.54."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("scheme", ["light", "dark", "booth", "booth in the dark"])
@pytest.mark.parametrize("ground", ["page", "sheet"])
@pytest.mark.parametrize(
    "ink", ["ink", "soft", "faint", "mark", "go", "due", "stop", "pair", "none"]
)
def test_text_can_be_read(scheme: str, ground: str, ink: str) -> None:
    colours = tokens(scheme)

    assert contrast(colours[ink], colours[ground]) >= TEXT


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("ink", ["ink", "soft", "faint", "go", "due", "stop", "pair", "none"])
def test_standings_can_be_read_on_the_sunk_ground(scheme: str, ink: str) -> None:
    colours = tokens(scheme)

    assert contrast(colours[ink], colours["sunk"]) >= TEXT


@pytest.mark.parametrize("scheme", ["light", "dark", "booth", "booth in the dark"])
def test_messages_can_be_read_on_their_wash(scheme: str) -> None:
    colours = tokens(scheme)

    for wash in ("stop-wash", "due-wash", "mark-wash"):
        assert contrast(colours["ink"], colours[wash]) >= TEXT


@pytest.mark.parametrize("scheme", ["light", "dark", "booth", "booth in the dark"])
def test_controls_and_the_main_button_can_be_seen(scheme: str) -> None:
    colours = tokens(scheme)

    assert contrast(colours["edge"], colours["page"]) >= CONTROL
    assert contrast(colours["edge"], colours["sheet"]) >= CONTROL
    assert contrast(colours["mark-on"], colours["mark"]) >= TEXT


def test_the_booth_is_the_same_whatever_the_system_prefers() -> None:
    """Everything the dark scheme changes is set back, so that the surround never tints the eye."""
    light, dark = tokens("booth"), tokens("booth in the dark")

    assert light == dark


def test_the_booth_is_neutral_and_keeps_its_lightness() -> None:
    """The surround is a true grey of CIE L* 71, where L* = 116 Y^(1/3) - 16 (CIE 15)."""
    colours = tokens("booth")
    page = colours["page"].lstrip("#")

    assert page[0:2] == page[2:4] == page[4:6]
    assert 116 * luminance(colours["page"]) ** (1 / 3) - 16 == pytest.approx(71, abs=0.5)


def test_every_colour_that_is_used_is_a_token() -> None:
    source = (CSS / "tokens.css").read_text()
    named = set(re.findall(r"--([\w-]+):", source))
    for sheet in CSS.glob("*.css"):
        text = sheet.read_text()
        local = set(re.findall(r"--([\w-]+):", text))
        used = set(re.findall(r"var\(--([\w-]+)", text))
        assert used <= named | local, sheet.name


@pytest.mark.parametrize("sheet", sorted(CSS.glob("*.css")), ids=lambda path: path.name)
def test_colours_are_written_in_tokens_only(sheet: Path) -> None:
    """White on black of marks on a picture and the paper of a certificate are the exceptions."""
    if sheet.name in {"tokens.css", "certificate.css", "print.css"}:
        return
    loose = set(re.findall(r"#[0-9A-Fa-f]{3,6}\b", sheet.read_text()))

    assert loose <= {"#000", "#fff"}
