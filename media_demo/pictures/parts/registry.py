"""All part kinds by name."""

from media_demo.pictures.kinds import PartKind
from media_demo.pictures.parts import (
    detergent_lid,
    drawer_front,
    fascia,
    handle_cap,
    hinge_cover,
    hood_trim,
    kettle_lid,
    knob,
    latch_hook,
    latch_lever,
    shelf_end_cap,
    tank_lid,
    vacuum_half,
    vent_cover,
    water_tank,
)

KINDS: dict[str, PartKind] = {
    module.KIND.slug: module.KIND
    for module in (
        detergent_lid,
        drawer_front,
        fascia,
        handle_cap,
        hinge_cover,
        hood_trim,
        kettle_lid,
        knob,
        latch_hook,
        latch_lever,
        shelf_end_cap,
        tank_lid,
        vacuum_half,
        vent_cover,
        water_tank,
    )
}
