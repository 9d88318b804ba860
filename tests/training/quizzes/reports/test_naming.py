"""What parts were taken for, and what was done about them."""

from tests.training.quizzes.reports.making import a_round, met
from training.quizzes.reports.naming import action_grid, naming_grid

GROUP = ("weld-line", "flow-line", "scuff")


def test_each_part_stands_once_under_what_it_was_taken_for() -> None:
    round_ = a_round()
    found = [
        met(round_),
        met(round_, named="flow-line"),
        met(round_, named="burn"),
        met(round_, reject=False),
        met(round_, bad=False),
        met(round_, bad=False, reject=True, named="scuff"),
        met(round_, family="burn"),
    ]
    grid = naming_grid(found, GROUP)
    assert grid.total == 6
    assert grid.cells == {
        ("weld-line", "weld-line"): 1,
        ("weld-line", "flow-line"): 1,
        ("weld-line", "other"): 1,
        ("weld-line", "accepted"): 1,
        ("good", "accepted"): 1,
        ("good", "scuff"): 1,
    }
    assert grid.rows == ("weld-line", "good")
    assert grid.columns == ("weld-line", "flow-line", "scuff", "other", "accepted")


def test_errors_come_most_frequent_first() -> None:
    round_ = a_round()
    found = [met(round_, named="scuff"), met(round_, reject=False), met(round_, reject=False)]
    assert naming_grid(found, GROUP).errors == [
        ("weld-line", "accepted", 2),
        ("weld-line", "scuff", 1),
    ]


def test_actions_are_counted_for_rejected_bad_parts_alone() -> None:
    round_ = a_round()
    found = [
        met(round_),
        met(round_, right_action="stop", action="segregate"),
        met(round_, reject=False),
        met(round_, bad=False, reject=True),
    ]
    grid = action_grid(found)
    assert grid.cells == {("segregate", "segregate"): 1, ("stop", "segregate"): 1}
    assert grid.errors == [("stop", "segregate", 1)]


def test_nothing_judged_gives_empty_grids() -> None:
    assert naming_grid([], GROUP).total == action_grid([]).total == 0
