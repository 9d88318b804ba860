"""All part kinds by name."""

from media_demo.pictures.kinds import PartKind
from media_demo.pictures.parts import fascia

KINDS: dict[str, PartKind] = {kind.slug: kind for kind in (fascia.KIND,)}
