"""What a part kind is: its sides, its zones, and the places where marks arise."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bounds, Shape

Zone = Literal["A", "B", "C", "F"]
SideName = Literal["front", "back"]
Hand = Literal["left", "right"]
SiteKind = Literal[
    "face",
    "gloss face",
    "edge",
    "hole edge",
    "corner",
    "tip",
    "rib line",
    "boss",
    "gate",
    "weld",
    "wall",
    "root",
    "pin",
    "whole",
    "post",
    "flow",
]


FACES = ("face", "gloss face")
FACE_REACH = 0.65


@dataclass(frozen=True)
class Site:
    """A place on one side of a part where a mark can arise.

    ``u``, ``v`` and ``height`` in mm; ``angle`` in degrees points along the flow, along
    the edge's outward normal, or along the draw; ``length`` and ``radius`` say how much
    room there is; ``shape`` is the outline an edge mark follows (for a hole edge the
    free side is inside it); ``parting`` is the height of the parting line there;
    ``tilt_deg`` the camera tilt that shows the place, where the usual one does not;
    ``base`` the height of the floor a rib (``shape``) or post stands on.
    """

    name: str
    kind: SiteKind
    zone: Zone
    u: float
    v: float
    height: float
    radius: float = 6.0
    angle: float = 0.0
    length: float = 12.0
    shape: Shape | None = None
    parting: float = 0.0
    tilt_deg: float | None = None
    base: float | None = None


@dataclass(frozen=True)
class Side:
    """One side of a part as it lies before the camera.

    ``zones`` maps areas to zone classes, first match first; ``rest`` is the zone of
    everything else.
    """

    outline: Shape
    build: Callable[[Sculptor], None]
    sites: tuple[Site, ...]
    tallest: float
    gate: tuple[float, float]
    rest: Zone
    zones: tuple[tuple[Zone, Shape], ...] = ()

    @property
    def bounds(self) -> Bounds:
        return self.outline.bounds

    def zone_at(self, u: float, v: float) -> Zone:
        """The zone class of a point of the part."""
        x, y = np.array([u], np.float32), np.array([v], np.float32)
        for zone, shape in self.zones:
            if float(shape.distance(x, y)[0]) <= 0:
                return zone
        return self.rest

    def sites_for(self, kinds: tuple[str, ...], zone: str | None = None) -> list[Site]:
        """The sites of some kinds, in one zone or in any."""
        return [s for s in self.sites if s.kind in kinds and zone in (None, s.zone)]


@dataclass(frozen=True)
class PartKind:
    """A part kind; ``handed`` kinds exist as a left and a mirrored right part."""

    slug: str
    sides: dict[SideName, Side]
    handed: bool = False

    def sides_for(
        self, kinds: tuple[str, ...], zones: tuple[str, ...] | None = None
    ) -> list[SideName]:
        """Sides that offer a site of these kinds, in some zones or in any."""
        return [
            name
            for name, side in self.sides.items()
            if any(zones is None or s.zone in zones for s in side.sites_for(kinds))
        ]


def somewhere_on(site: Site, rng: np.random.Generator) -> Site:
    """A face site moved to a random point of its free circle; other sites stay."""
    reach = FACE_REACH * site.radius * float(np.sqrt(rng.random()))
    angle = float(rng.uniform(0, 2 * np.pi))
    if site.kind not in FACES:
        return site
    u, v = site.u + reach * float(np.cos(angle)), site.v + reach * float(np.sin(angle))
    return replace(site, u=u, v=v)
