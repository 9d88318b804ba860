"""Which part kind and resin each product of the invented plant is."""

from dataclasses import dataclass

from media_demo.pictures.kinds import Hand
from media_demo.pictures.parts.registry import KINDS

_KIND_OF_PRODUCT = {
    "PR01": "fascia",
    "PR02": "hinge_cover",
    "PR03": "shelf_end_cap",
    "PR04": "drawer_front",
    "PR05": "handle_cap",
    "PR06": "detergent_lid",
    "PR07": "hood_trim",
    "PR08": "knob",
    "PR09": "latch_hook",
    "PR10": "vacuum_half",
    "PR11": "kettle_lid",
    "PR12": "water_tank",
}
# products that cover two parts: the job's colour (or part name) tells them apart
_OTHER_PART = {("PR09", "black"): "latch_lever", ("PR12", "grey"): "tank_lid"}


@dataclass(frozen=True)
class PlantPart:
    """The part kind, resin and hand of one job."""

    part: str
    resin: str
    hand: Hand | None


def part_for_product(product: str, colour: str, hand: Hand | None = None) -> PlantPart:
    """Name the part kind of a product code (PR01-PR12) in a colour of the jobs file.

    >>> part_for_product("PR01", "graphite")
    PlantPart(part='fascia', resin='graphite', hand=None)
    """
    kind = _OTHER_PART.get((product, colour)) or _KIND_OF_PRODUCT.get(product)
    if kind is None:
        raise ValueError(f"unknown product {product!r}; PR01 to PR12 are known")
    return PlantPart(kind, colour, hand if KINDS[kind].handed else None)
