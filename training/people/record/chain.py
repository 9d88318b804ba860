"""Writing facts: the one way a fact row comes into being."""

import datetime as dt
import secrets
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TypeVar

from django.db import transaction

from training.people.record.canonical import GENESIS, commitment
from training.people.record.models import PLANT, ChainHead, ErasableText, Fact

BATCH = 400

F = TypeVar("F", bound=Fact)


@transaction.atomic
def append(*facts: F, chain: str = PLANT, moment: dt.datetime | None = None) -> Sequence[F]:
    """Hash the facts onto the end of the chain and write them; call it last in a transaction.

    `moment` is when the plant learned of it; a fact that already has its `recorded_at` keeps it.
    The head row is locked until commit, so links of one chain are added one after the other.
    """
    head = _locked_head(chain)
    by_model: dict[type[Fact], list[Fact]] = defaultdict(list)
    for fact in facts:
        _date(fact, moment)
        head.position += 1
        fact.chain, fact.position, fact.previous_hash = chain, head.position, head.hash
        fact.hash = head.hash = fact.computed_hash()
        by_model[type(fact)].append(fact)
    for model, rows in by_model.items():
        model._default_manager.bulk_create(rows, batch_size=BATCH)
    head.save(update_fields=["position", "hash"])
    return facts


def _date(fact: Fact, moment: dt.datetime | None) -> None:
    # A new row has no moment yet, whatever the column promises of saved ones.
    dated: dt.datetime | None = fact.recorded_at
    if dated is None:
        if moment is None:
            raise ValueError("append() needs a moment for facts without recorded_at.")
        fact.recorded_at = moment


def _locked_head(chain: str) -> ChainHead:
    ChainHead.objects.get_or_create(name=chain, defaults={"hash": GENESIS})
    return ChainHead.objects.select_for_update().get(name=chain)


def erasable(text: str) -> ErasableText:
    """Store a text that may be erased later and return it, to be pointed to by a fact."""
    return erasable_many([text])[0]


def erasable_many(texts: Iterable[str]) -> list[ErasableText]:
    """Store many erasable texts in few queries."""
    rows = []
    for text in texts:
        salt = secrets.token_hex(16)
        rows.append(ErasableText(commitment=commitment(salt, text), text=text, salt=salt))
    return ErasableText.objects.bulk_create(rows, batch_size=BATCH)


def erase(row: ErasableText, *, by_id: object, because: str, moment: dt.datetime) -> None:
    """Empty a text and its salt; the facts that point to it, and their hashes, stand."""
    ErasableText.objects.filter(pk=row.pk).update(
        text="", salt="", erased_at=moment, erased_by=by_id, erased_because=because
    )
