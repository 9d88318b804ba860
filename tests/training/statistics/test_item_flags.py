"""Flags of doubtful items: simulated banks, the rules' edges, bad input."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.contingency_tables import Table2x2

from tests.training.statistics.flagged_bank import (
    AMBIGUOUS,
    LEAKS,
    SOUND,
    WRONG,
    flag_rates,
)
from training.statistics.item_flags import Action, Flag, flag_items, show_point_biserial

counts = st.integers(0, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@pytest.mark.parametrize(("each", "caught"), [(15, 0.85), (30, 0.9), (60, 0.97), (150, 1.0)])
def test_wrong_keys_are_found_and_sound_items_left_alone(each: int, caught: float) -> None:
    """Own study: .88 .91 .99 1.00 found, at most .001 false."""
    rates = flag_rates(4, each, 25)

    assert rates[WRONG, Flag.CHECK_KEY.value] >= caught
    assert rates.get((SOUND, Flag.CHECK_KEY.value), 0) <= 0.002
    assert rates.get((SOUND, Flag.TOO_CLOSE.value), 0) <= 0.05


def test_items_at_the_limit_go_to_training_as_answers_come_in() -> None:
    few, many = flag_rates(4, 15, 25), flag_rates(4, 150, 25)
    key = AMBIGUOUS, Flag.TOO_CLOSE.value

    assert few[key] >= 0.25
    assert many[key] >= 0.8


def test_leaks_are_found_from_sixty_answers_on_and_hardly_ever_invented() -> None:
    rates = {each: flag_rates(4, each, 25) for each in (30, 60, 150)}
    leaked, false = (LEAKS, Flag.PERHAPS_KNOWN.value), (SOUND, Flag.PERHAPS_KNOWN.value)

    assert leaked not in rates[30]
    assert rates[60][leaked] >= 0.2
    assert rates[150][leaked] >= 0.7
    assert all(rate.get(false, 0) <= 0.003 for rate in rates.values())


@given(counts)
def test_probabilities_are_those_of_the_beta_distribution(xn: tuple[int, int]) -> None:
    x, n = xn
    found = flag_items([x], [n])[0]

    if n < 15:
        assert (found.p_wrong_key, found.p_too_close, found.flag) == (None, None, None)
        assert found.reason == f"{n} of 15 answers needed to check the key."
    else:
        posterior = stats.beta(x + 1, n - x + 1)
        assert found.p_wrong_key == pytest.approx(posterior.cdf(0.5), abs=1e-10)
        assert found.p_too_close == pytest.approx(posterior.cdf(0.65), abs=1e-10)


@given(counts.filter(lambda xn: xn[1] >= 15 and xn[0] < xn[1]))
def test_one_more_right_answer_never_raises_suspicion(xn: tuple[int, int]) -> None:
    x, n = xn
    before, after = flag_items([x, x + 1], [n, n])

    assert before.p_wrong_key is not None
    assert after.p_wrong_key is not None
    assert after.p_wrong_key <= before.p_wrong_key


@given(counts.filter(lambda xn: xn[1] >= 60), counts.filter(lambda xn: xn[1] >= 60))
def test_drift_is_the_log_odds_ratio_of_statsmodels(
    now: tuple[int, int], earlier: tuple[int, int]
) -> None:
    table = Table2x2(
        np.array([[now[0], now[1] - now[0]], [earlier[0], earlier[1] - earlier[0]]]) + 0.5
    )
    found = flag_items([now[0]], [now[1]], [earlier[0]], [earlier[1]])[0]

    assert found.drift_z == pytest.approx(table.log_oddsratio / table.log_oddsratio_se, abs=1e-9)


@given(counts.filter(lambda xn: xn[1] >= 60), counts.filter(lambda xn: xn[1] >= 60))
def test_drift_turns_its_sign_with_the_windows_and_with_the_answers(
    now: tuple[int, int], earlier: tuple[int, int]
) -> None:
    found = flag_items([now[0]], [now[1]], [earlier[0]], [earlier[1]])[0].drift_z
    back = flag_items([earlier[0]], [earlier[1]], [now[0]], [now[1]])[0].drift_z
    wrong = flag_items([now[1] - now[0]], [now[1]], [earlier[1] - earlier[0]], [earlier[1]])[
        0
    ].drift_z

    assert found is not None
    assert back == pytest.approx(-found, abs=1e-9)
    assert wrong == pytest.approx(-found, abs=1e-9)


def test_most_urgent_flag_wins_and_brings_its_action() -> None:
    key, close, known, sound = flag_items(
        [20, 34, 95, 90], [100, 60, 100, 100], [5, 30, 60, 88], [100, 60, 100, 100]
    )

    assert (key.flag, key.action) == (Flag.CHECK_KEY, Action.WITHDRAW)
    assert (close.flag, close.action) == (Flag.TOO_CLOSE, Action.TRAINING_ONLY)
    assert (known.flag, known.action) == (Flag.PERHAPS_KNOWN, Action.RETIRE)
    assert (sound.flag, sound.action) == (None, None)
    assert "contradict the key" in key.reason
    assert "65 % of answers" in close.reason
    assert "more often than at calibration" in known.reason
    assert sound.reason == "Nothing stands out."


def test_drift_needs_sixty_answers_in_both_windows() -> None:
    for now, earlier in ((59, 200), (200, 59)):
        found = flag_items([now - 1], [now], [earlier // 2], [earlier])[0]
        assert found.drift_z is None


def test_becoming_harder_is_no_leak() -> None:
    assert flag_items([70], [100], [99], [100])[0].flag is None


def test_half_a_panel_against_the_key_is_enough() -> None:
    split, agreed, absent = flag_items(
        [10] * 3, [10] * 3, panel_agreeing=[2, 3, 0], panel_size=[4, 4, 0]
    )

    assert split.flag is Flag.TOO_CLOSE
    assert split.reason == "At most half of the panel stands behind the key."
    assert agreed.flag is None
    assert absent.flag is None


def test_point_biserials_are_shown_late() -> None:
    assert not show_point_biserial(149)
    assert show_point_biserial(150)


def test_no_items_give_no_flags() -> None:
    assert flag_items([], []) == ()


@pytest.mark.parametrize(
    ("arguments", "options", "message"),
    [
        (([3], [2]), {}, "right, value 1, is 3 of 2 answered"),
        (([-3], [2]), {}, "right, value 1, is -3"),
        (([np.nan], [2]), {}, "right holds NaN"),
        (([1, 1], [2]), {}, "differ in length"),
        (([1], [2], [1]), {}, "earlier_right and earlier_answered belong together"),
        (([1], [2], None, [1]), {}, "earlier_right and earlier_answered belong together"),
        (([1], [2], [4], [3]), {}, "earlier_right, value 1, is 4 of 3 earlier_answered"),
        (([1], [2], [1, 1], [3, 3]), {}, "differ in length"),
        (([1], [2]), {"panel_size": [3]}, "panel_agreeing and panel_size belong together"),
        (([1], [2]), {"panel_agreeing": [4], "panel_size": [3]}, "panel_agreeing, value 1"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    arguments: tuple[npt.ArrayLike, ...], options: dict[str, Any], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        flag_items(*arguments, **options)
