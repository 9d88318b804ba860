"""Numbers of specimens: "S-00001" and on, where nobody gives one."""

import re
from collections.abc import Iterator

from django.db.models.functions import Length

from training.specimens.models import Specimen

PREFIX = "S-"
DIGITS = 5
OURS = re.compile(rf"{PREFIX}(\d+)")


def numbers_from_next() -> Iterator[str]:
    """Yield numbers that no specimen has yet, in order. Costs one query."""
    last = (
        Specimen.objects.filter(number__regex=rf"^{PREFIX}[0-9]+$")
        .order_by(Length("number").desc(), "-number")
        .values_list("number", flat=True)
        .first()
    )
    match = OURS.fullmatch(last or "")
    following = int(match[1]) + 1 if match else 1
    while True:
        yield f"{PREFIX}{following:0{DIGITS}}"
        following += 1
