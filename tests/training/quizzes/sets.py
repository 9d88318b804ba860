"""Sets of teaching specimens for the tests of exercises; `tests.training.quizzes.bank.fill` made them."""

from collections.abc import Sequence
from types import SimpleNamespace

from tests.conftest import NOON, TODAY
from training.floor.models import Family
from training.specimens.models import Pool, ReferenceDecision, Specimen, SpecimenSet
from training.specimens.services.series import make_set

DIFFERENCE = {"en": "mean size", "es": "tamaño medio"}


def teaching(family: Family) -> list[Specimen]:
    """Return the teaching specimens of a family, each severity once, smallest first."""
    rows = Specimen.objects.filter(family=family, pool=Pool.TEACHING).order_by("number")
    by_size = {row.severity or 0: row for row in reversed(rows)}
    return [by_size[size] for size in sorted(by_size)]


def decided(specimen: Specimen) -> str:
    return ReferenceDecision.objects.get(specimen=specimen).decision


def made(kind: str, members: Sequence[Specimen]) -> SpecimenSet:
    return make_set(
        kind=kind,
        members=[row.pk for row in members],
        difference=DIFFERENCE,
        day=TODAY,
        moment=NOON,
        by=None,
    )


def ladder(plant: SimpleNamespace, rungs: int = 8) -> SpecimenSet:
    """A ladder of black specks: clean, 0.6, 0.7, 0.85, 1.1, 1.2, 1.4, 1.7 times the limit."""
    return made("ladder", teaching(plant.specks)[:rungs])


def contrasts(plant: SimpleNamespace, n: int = 3) -> list[SpecimenSet]:
    rows = teaching(plant.specks)
    good = [row for row in rows if decided(row) == "accept"][-n:]
    bad = [row for row in rows if decided(row) == "reject"][:n]
    return [made("contrast", pair) for pair in zip(good, bad, strict=True)]


def look_alike(plant: SimpleNamespace) -> SpecimenSet:
    """A black speck and a burn, both bad."""
    specks = [row for row in teaching(plant.specks) if decided(row) == "reject"]
    burns = [row for row in teaching(plant.burn) if decided(row) == "reject"]
    return made("look_alike", [specks[-1], burns[-1]])
