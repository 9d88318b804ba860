"""Which marks a gauge in the picture measures, in which steps, and on which parts it reaches them."""

from dataclasses import dataclass

from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.scenes import gauge_reading, taper_gauge
from media_demo.pictures.scenes.dial_gauge import FINE
from media_demo.pictures.scenes.insert import SOCKETS


@dataclass(frozen=True)
class GaugeScale:
    """A gauge's division and the highest reading it has, in mm."""

    division_mm: float
    highest_mm: float

    def above(self, limit_mm: float, wanted_mm: float) -> float:
        """The mark nearest to a wanted reading among those above a limit."""
        first = int(limit_mm / self.division_mm + 1e-6) + 1
        last = int(self.highest_mm / self.division_mm + 1e-6)
        return self._mark(min(max(round(wanted_mm / self.division_mm), first), last))

    def below(self, limit_mm: float, wanted_mm: float) -> float:
        """The mark nearest to a wanted reading among those below a limit, 1 at least."""
        last = -int(-limit_mm / self.division_mm + 1e-6) - 1
        return self._mark(max(min(round(wanted_mm / self.division_mm), last), 1))

    def _mark(self, count: int) -> float:
        return round(count * self.division_mm, 4)


def scale_of(family: str) -> GaugeScale:
    """The scale of the gauge that measures a family; KeyError for one that no gauge measures."""
    if family == "warp":
        step = taper_gauge.STEP_MM
        return GaugeScale(step, taper_gauge.THICKEST_MM - step)
    dial = FINE if family == "insert" else gauge_reading.MEASURES[family].dial
    return GaugeScale(dial.division_mm, dial.highest)


def reaches(part: str, family: str, zone: str) -> bool:
    """Whether the family's gauge reaches a place of the part in a zone."""
    if family == "warp":
        return True
    if family == "insert":
        return part in SOCKETS and zone == "F"
    return bool(gauge_reading.places_reached(KINDS[part], family, zone=zone))
