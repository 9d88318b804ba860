"""Parameters of published plans: defaults, and what is refused with a remedy."""

from typing import Any

import pytest

from training.quizzes.plan_rules import read_rules
from training.quizzes.worked_plan import Form


def test_defaults_are_those_of_the_group_plan() -> None:
    rules = read_rules("group", {})
    assert (rules.form, rules.p_ok, rules.p_bad) == (Form.GROUP, 0.05, 0.20)
    assert (rules.good, rules.false_rejects_allowed, rules.ahead) == (30, 3, 5)
    assert rules.least_look_ms == 2000


def test_practice_has_no_forced_look() -> None:
    assert read_rules("practice", {}).least_look_ms == 0


@pytest.mark.parametrize(
    ("form", "parameters", "said"),
    [
        ("group", {"goood": 30}, "no parameter 'goood'; it has"),
        ("group", {"p_ok": 0.3}, "p_ok"),
        ("group", {"good": 0}, "good is 0: give a whole number of at least 1"),
        ("group", {"good": 3}, "false_rejects_allowed"),
        ("group", {"critical_beta": 2}, "beta"),
        ("fixed", {"bad": 8, "misses_allowed": 8}, "below the number of bad"),
        ("group", {"wait_days": -1}, "wait_days is -1: give a whole number of at least 0"),
        ("short_bank", {"tries": 0}, "tries is 0: give a whole number of at least 1"),
        ("practice", {"tries": 2}, "no parameter 'tries'"),
        ("fixed", {"good": 2, "false_rejects_allowed": 2}, "below the number of good"),
        ("fixed", {"misses_allowed": 1, "bad_is_critical": True}, "none may be missed"),
        ("practice", {"length": 1}, "length is 1"),
        ("group", {"ahead": -1}, "ahead is -1"),
        ("group", {"bad_strata": [{"code": "a", "share": 0.5}]}, "add to 1"),
        ("raffle", {}, "raffle"),
    ],
)
def test_parameters_that_cannot_hold_are_refused(
    form: str, parameters: dict[str, Any], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        read_rules(form, parameters)
