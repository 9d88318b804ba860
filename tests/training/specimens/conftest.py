"""Specimens of the small plant, made by the services themselves."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from tests.conftest import NOON, TODAY
from tests.training.specimens import photographs as photo
from training.people.models import Person
from training.specimens.models import Specimen
from training.specimens.services.adding import add_specimen
from training.specimens.services.bulk import (
    ByMeasurement,
    NewFrame,
    NewRegion,
    NewSpecimen,
    NewView,
    add_specimens,
)

SQUARE = [[50.0, 50.0], [120.0, 50.0], [120.0, 120.0], [50.0, 120.0]]


@pytest.fixture
def make_specimen(plant: SimpleNamespace, quality: Person) -> Callable[..., Specimen]:
    """Add a specimen from a phone's picture: of job 901, zone A, black specks of 0.45 mm."""

    def make(*files: bytes, **fields: Any) -> Specimen:
        pictures = [
            photo.upload(data, f"IMG_{n}.jpg")
            for n, data in enumerate(files or (photo.phone_jpeg(),))
        ]
        given: dict[str, Any] = {
            "job": plant.job,
            "zone": "A",
            "family": plant.specks,
            "severity": "0.45",
            "unit": "mm",
        } | fields
        from decimal import Decimal

        if given["severity"] is not None:
            given["severity"] = Decimal(given["severity"])
        return add_specimen(pictures=pictures, by=quality, moment=NOON, **given)

    return make


@pytest.fixture
def make_bank(plant: SimpleNamespace, quality: Person) -> Callable[..., list[Specimen]]:
    """Add rendered specimens in one go: as many as asked for, half of them beyond the limit."""
    picture = photo.quarters(240, 180)

    def make(count: int, **fields: Any) -> list[Specimen]:
        new = [
            NewSpecimen(
                **{
                    "job": plant.job,
                    "zone": "A",
                    "family": plant.specks,
                    "severity": 0.15 if place % 2 else 0.45,
                    "unit": "mm",
                    "pool": "exam",
                    "decision": ByMeasurement(),
                    "views": [
                        NewView(
                            [NewFrame(picture)],
                            px_per_mm=4.58,
                            regions=[NewRegion(plant.specks, [SQUARE])],
                        )
                    ],
                }
                | fields
            )
            for place in range(count)
        ]
        return add_specimens(new, day=TODAY, moment=NOON, by=quality)

    return make
