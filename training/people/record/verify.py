"""Verifying the record: walk every chain and name the first row that does not hold."""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass

from training.people.record.canonical import GENESIS, commitment
from training.people.record.models import (
    ChainHead,
    DayHead,
    ErasableText,
    Fact,
    fact_models,
)
from training.people.record.sealing import seal_holds

CHUNK = 500


@dataclass(frozen=True)
class Break:
    """The first thing in a chain that does not hold."""

    chain: str
    position: int
    row: str
    problem: str

    def __str__(self) -> str:
        return f"{self.chain} {self.position}: {self.row}: {self.problem}"


@dataclass(frozen=True)
class Verification:
    """What was walked, and the first break of each chain."""

    chains: int
    facts: int
    breaks: tuple[Break, ...]


def verify() -> Verification:
    """Recompute every hash of every chain, every seal and every commitment."""
    heads = {head.name: head for head in ChainHead.objects.all()}
    names = set(heads)
    for model in fact_models():
        names.update(model._default_manager.values_list("chain", flat=True).distinct())
    breaks: list[Break] = []
    facts = 0
    links: dict[tuple[str, int], str] = {}
    for name in sorted(names):
        count, found = _walk(name, heads.get(name), links)
        facts += count
        breaks.extend(found)
    breaks.extend(_check_texts())
    breaks.extend(_check_seals(links))
    return Verification(len(names), facts, tuple(breaks))


def _links(chain: str) -> Iterator[Fact]:
    streams = [
        model._default_manager.filter(chain=chain).order_by("position").iterator(CHUNK)
        for model in fact_models()
    ]
    return heapq.merge(*streams, key=lambda fact: fact.position)


def _walk(
    chain: str, head: ChainHead | None, links: dict[tuple[str, int], str]
) -> tuple[int, list[Break]]:
    position, previous = 0, GENESIS
    for fact in _links(chain):
        row = f"{fact._meta.label} {fact.pk}"
        problem = _problem(fact, position + 1, previous)
        if problem:
            return position, [Break(chain, fact.position, row, problem)]
        position, previous = fact.position, fact.hash
        links[chain, position] = previous
    if head is None:
        return position, [Break(chain, position, "chain head", "the head row is missing")]
    if (head.position, head.hash) != (position, previous):
        return position, [
            Break(chain, head.position, "chain head", f"the chain ends at link {position}")
        ]
    return position, []


def _problem(fact: Fact, position: int, previous: str) -> str | None:
    if fact.position != position:
        return f"link {position} is missing"
    if fact.previous_hash != previous:
        return "does not follow from the link before it"
    try:
        computed = fact.computed_hash()
    except (TypeError, ValueError) as error:
        return f"cannot be read: {error}"
    return None if computed == fact.hash else "its values do not give its hash"


def _check_texts() -> Iterator[Break]:
    for text in ErasableText.objects.filter(erased_at=None).iterator(CHUNK):
        if commitment(text.salt, text.text) != text.commitment:
            yield Break("texts", 0, f"text {text.commitment[:12]}", "is not the text committed to")
            return


def _check_seals(links: dict[tuple[str, int], str]) -> Iterator[Break]:
    for seal in DayHead.objects.all():
        row = f"seal of {seal.day}"
        if not seal_holds(seal):
            yield Break("plant", seal.position, row, "the signature does not hold")
            return
        if seal.position and links.get(("plant", seal.position)) != seal.hash:
            yield Break("plant", seal.position, row, "the chain is not the one that was sealed")
            return
