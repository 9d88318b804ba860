"""PINs: six digits that are not obvious, kept as slow hashes with a key of the site's own."""

import hashlib
import hmac
import itertools
import secrets

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password

DIGITS = 6


def is_obvious(pin: str, personal_numbers: tuple[str, ...] = ()) -> bool:
    """Return whether a PIN would be among the first that somebody tries.

    Obvious are fewer than three different digits, runs up or down, one half repeated, mirrored
    halves, years and days of birth written as such, and anything inside the person's own numbers.
    """
    digits = [int(character) for character in pin]
    steps = {(b - a) % 10 for a, b in itertools.pairwise(digits)}
    thirds = [pin[0:2], pin[2:4], pin[4:6]]
    return (
        len(set(pin)) < 3
        or steps in ({1}, {9}, {2}, {8})
        or pin[:3] == pin[3:]
        or pin[:3] == pin[:2:-1]
        or len(set(thirds)) == 1
        or all(third[0] == third[1] for third in thirds)
        or (pin[:2] in ("19", "20") and pin[2:4].isdigit() and int(pin[:4]) in range(1940, 2031))
        or any(number in pin or pin in number for number in personal_numbers if len(number) >= 4)
    )


def random_pin(personal_numbers: tuple[str, ...] = ()) -> str:
    """Return a random PIN that is not obvious."""
    while True:
        pin = f"{secrets.randbelow(10**DIGITS):0{DIGITS}d}"
        if not is_obvious(pin, personal_numbers):
            return pin


def hashed(pin: str) -> str:
    return make_password(_keyed(pin))


def matches(pin: str, stored: str) -> bool:
    return check_password(_keyed(pin), stored)


def spend_the_same_time(pin: str) -> None:
    """Hash a PIN and throw it away, so that an unknown badge takes as long as a known one."""
    make_password(_keyed(pin))


def _keyed(pin: str) -> str:
    # A million PINs are soon tried against a stolen table; without the site's key they cannot be.
    return hmac.new(settings.SECRET_KEY.encode(), pin.encode(), hashlib.sha256).hexdigest()
