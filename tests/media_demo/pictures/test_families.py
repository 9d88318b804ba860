"""Every family: made to measure, inside its region, and plainer the worse it is."""

from dataclasses import replace
from itertools import pairwise

import pytest
from scipy.stats import spearmanr

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.kinds import Hand
from media_demo.pictures.nuisance import Light
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plans import key_lamps, make_plan, whole_view
from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.specimens import shoot
from tests.media_demo.pictures.near import near_shot

# where each family shows well: part, resin, place, light, severities in its unit
PLACES: dict[str, tuple[str, str, str | None, Light, tuple[float, ...]]] = {
    "short-shot": ("hinge_cover", "white", "lower right corner", "form", (0.3, 1.2, 5)),
    "flash": ("hinge_cover", "white", "hinge bore", "form", (0.05, 0.2, 1.0)),
    "weld-line": ("hood_trim", "gloss black", "near the cut-out", "reflection", (2, 5, 9)),
    "flow-line": ("hood_trim", "gloss black", "flow from the gate", "reflection", (3, 8, 14)),
    "gloss": ("hood_trim", "gloss black", "right field", "reflection", (1, 3, 8)),
    "drag-mark": ("hinge_cover", "white", "lower wall", "form", (1, 3, 7)),
    "gate-vestige": ("fascia", "white", "gate", "raking", (0.05, 0.3, 1.0)),
    "sink": ("hood_trim", "gloss black", "opposite a clip", "reflection", (0.01, 0.04, 0.13)),
    "splay": ("fascia", "graphite", "flow from the gate", "form", (5, 10, 18)),
    "burn": ("hinge_cover", "white", "lower right corner", "form", (0.4, 3, 20)),
    "black-specks": ("hinge_cover", "white", "middle of the face", "form", (0.15, 0.4, 1.0)),
    "ejector-mark": ("fascia", "graphite", "pin by the rib", "raking", (0.03, 0.1, 0.25)),
    "scuff": ("hood_trim", "gloss black", "right field", "form", (2, 7, 20)),
    "jetting": ("tank_lid", "grey", "gate", "form", (3, 9, 18)),
    "void-bubble": ("drawer_front", "clear", "middle", "form", (0.2, 0.6, 1.6)),
    "delamination": ("hinge_cover", "white", "lower right corner", "form", (1.5, 5, 13)),
    "stress-whitening": ("latch_lever", "black", "pad root", "form", (1, 4, 9)),
    "crack": ("hinge_cover", "white", "bore collar root", "form", (2, 6, 14)),
    "mismatch": ("fascia", "white", "left edge", "form", (0.05, 0.2, 0.6)),
    "grease-oil": ("hinge_cover", "white", "middle of the face", "form", (1, 3, 9)),
}
# a wall, a part's end or a bank of filters stops these from growing without end
LOOSE = {"drag-mark": 0.75, "splay": 0.35, "burn": 0.5, "short-shot": 0.35, "delamination": 0.35}


def _request(family: str, severity: float, seed: int = 3) -> SpecimenRequest:
    part, resin, site, light, _ = PLACES[family]
    hand: Hand | None = "left" if KINDS[part].handed else None
    return SpecimenRequest(
        part, resin, seed, hand=hand, family=family, severity=severity, site=site, light=light
    )


def test_every_surface_family_is_tried() -> None:
    assert PLACES.keys() | {"warp"} == FAMILIES.keys()


@pytest.mark.parametrize("family", PLACES)
def test_visibility_rises_with_severity(family: str) -> None:
    severities = PLACES[family][4]
    shots = [near_shot(_request(family, severity)) for severity in severities]
    indices = [shot.look.visibility for shot in shots]
    measured = [shot.mark.severity for shot in shots if shot.mark]
    assert spearmanr(severities, indices).statistic > 0.99, indices
    assert indices[-1] > 1.15 * indices[0]
    assert indices[-1] > 1
    assert all(a < b for a, b in pairwise(measured))
    for wanted, got in zip(severities, measured, strict=True):
        assert got == pytest.approx(wanted, rel=LOOSE.get(family, 0.3), abs=0.12)
    assert all(shot.look.regions for shot in shots)


@pytest.mark.parametrize("family", FAMILIES)
def test_ladders_rise(family: str) -> None:
    assert all(a < b for a, b in pairwise(FAMILIES[family].ladder))


@pytest.mark.parametrize("family", FAMILIES)
def test_a_part_offers_a_place(family: str) -> None:
    made = FAMILIES[family]
    kinds = [k for k in KINDS.values() if "whole" in made.sites or k.sides_for(made.sites)]
    assert len(kinds) >= 3


def test_the_scar_of_a_gate_does_not_tell_its_height() -> None:
    """Paleness is drawn apart from height: the same stub is pale on one part, dull on another."""
    dark = replace(_request("gate-vestige", 0.1), resin="graphite")
    shots = [near_shot(replace(dark, seed=seed)) for seed in range(6)]
    indices = [shot.look.visibility for shot in shots]
    assert max(indices) > 1.4 * min(indices)


def test_a_part_that_bows_shows_a_wider_gap() -> None:
    indices = []
    for severity in (0.5, 3.0):
        plan = make_plan(SpecimenRequest("fascia", "graphite", 3, family="warp", severity=severity))
        indices.append(shoot(plan, whole_view(plan), key_lamps(plan)).look.visibility)
    assert indices[1] > 1.3 * indices[0]
    assert indices[1] > 1
