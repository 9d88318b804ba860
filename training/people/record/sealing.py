"""Sealing a day: the head of the plant's chain, signed, so that it can be printed and kept outside.

The owner of a database could recompute a whole chain; a signed head on paper cannot be recomputed.
"""

import datetime as dt
import os
from pathlib import Path

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from django.conf import settings

from training.people.record.canonical import GENESIS, canonical_form
from training.people.record.models import PLANT, ChainHead, DayHead


def seal_day(day: dt.date, *, moment: dt.datetime) -> DayHead:
    """Sign the plant chain's head for this day; a day that is sealed already is returned as it is."""
    sealed = DayHead.objects.filter(day=day).first()
    if sealed is not None:
        return sealed
    head = ChainHead.objects.filter(name=PLANT).first()
    seal = DayHead(
        day=day,
        position=head.position if head else 0,
        hash=head.hash if head else GENESIS,
        sealed_at=moment,
    )
    key = _private_key()
    seal.public_key = key.public_key().public_bytes_raw().hex()
    seal.signature = key.sign(_sealed_bytes(seal)).hex()
    seal.save()
    return seal


def seal_holds(seal: DayHead) -> bool:
    """Return whether the signature belongs to this day, position and hash, by the plant's key."""
    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(seal.public_key))
        key.verify(bytes.fromhex(seal.signature), _sealed_bytes(seal))
    except (InvalidSignature, ValueError):
        return False
    return seal.public_key == _private_key().public_key().public_bytes_raw().hex()


def _sealed_bytes(seal: DayHead) -> bytes:
    values = {
        "day": seal.day,
        "position": seal.position,
        "hash": seal.hash,
        "sealed_at": seal.sealed_at,
    }
    return canonical_form("people.dayhead", values)


def _private_key() -> Ed25519PrivateKey:
    path = Path(settings.RECORD_KEY_FILE)
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        pem = Ed25519PrivateKey.generate().private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
        # Created unreadable to others from the first byte; a second process loses the race loudly.
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(pem)
    key = serialization.load_pem_private_key(path.read_bytes(), password=None)
    if not isinstance(key, Ed25519PrivateKey):
        raise TypeError(f"{path} does not hold an Ed25519 private key.")
    return key
