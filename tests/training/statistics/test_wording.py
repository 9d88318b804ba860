"""Sentences that remember their pattern, so that a page can translate them."""

import copy
import pickle

from training.statistics.wording import Wording, gettext_noop


def test_wording_is_a_sentence_with_pattern_and_values() -> None:
    wording = Wording(gettext_noop("%(share)d %% of %(total)d."), share=5, total=40)

    assert wording == "5 % of 40."
    assert wording.pattern % wording.values == str(wording)
    assert wording.values == {"share": 5, "total": 40}


def test_wording_without_values_keeps_its_per_cent_signs() -> None:
    assert Wording("Half is 50 %.") == "Half is 50 %."


def test_wording_survives_copying_and_pickling() -> None:
    wording = Wording("%(share)d %% gone.", share=5)

    for twin in (copy.deepcopy(wording), pickle.loads(pickle.dumps(wording))):
        assert twin == wording
        assert twin.pattern == wording.pattern
        assert twin.values == wording.values
