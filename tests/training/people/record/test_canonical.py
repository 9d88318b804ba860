"""The canonical form is the same text whatever the database, and follows RFC 8785."""

import datetime as dt
import json
import uuid
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.people.record.canonical import canonical_form, canonical_value, fact_hash

values = st.recursive(
    st.text(max_size=8) | st.integers(-(2**50), 2**50) | st.booleans(),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
    ),
    max_leaves=8,
)


@given(st.dictionaries(st.text(max_size=6), values, max_size=5))
def test_field_order_does_not_matter(body: dict[str, object]) -> None:
    turned = dict(reversed(list(body.items())))
    assert canonical_form("k", body) == canonical_form("k", turned)
    assert json.loads(canonical_form("k", body))["fact"] == body


def test_rfc_8785_sorts_by_utf_16_code_units() -> None:
    # RFC 8785, section 3.2.3: the published example of property sorting.
    body = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    text = canonical_form("k", body).decode()
    order = [
        text.index(name)
        for name in (
            "Carriage Return",
            "One",
            "Control",
            "Latin Small",
            "Euro Sign",
            "Emoji",
            "Hebrew",
        )
    ]
    assert order == sorted(order)


def test_moments_are_utc_text_with_microseconds() -> None:
    here = dt.timezone(dt.timedelta(hours=-6))
    moment = dt.datetime(2026, 11, 25, 2, 0, tzinfo=here)
    assert canonical_value(moment) == "2026-11-25T08:00:00.000000Z"


def test_decimals_keep_their_places_and_floats_are_refused() -> None:
    assert canonical_value(Decimal("0.300")) == "0.300"
    with pytest.raises(TypeError, match=r"not 0\.3"):
        canonical_value(0.3)


def test_an_empty_value_changes_nothing() -> None:
    one = uuid.UUID(int=1)
    assert fact_hash("k", {"a": one}) == fact_hash("k", {"a": one, "later": None})
    assert fact_hash("k", {"a": one}) != fact_hash("other", {"a": one})
