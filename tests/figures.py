"""The register of statistics that pages show: what, by which function, checked by which test.

A page names what it shows in a comment of its template, `{# figures: one-key, another-key #}`, or,
where a document is written by a module, `# figures: one-key`. To add a statistic: add a row here,
name its key on the page, and run `python -m tests.make_figures`.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """One statistic: its key on pages, what it says, its function and the test that vouches for it."""

    key: str
    says: str
    function: str
    test: str


STATISTICS = "tests/training/statistics"
QUIZZES = "tests/training/quizzes"
CERTIFICATES = "tests/certification/certificates"

FIGURES = (
    # Results of exams
    Figure(
        "misses-bound",
        "how many bad parts are missed at most (one-sided 90 %)",
        "training.statistics.proportions.upper_bound",
        f"{STATISTICS}/test_proportions.py::test_upper_bound_of_the_default_plans",
    ),
    Figure(
        "sitting-counts",
        "misses, false rejects and wrong places of a sitting",
        "training.quizzes.scoring.count_answers",
        f"{QUIZZES}/test_scoring.py::test_every_answer_is_counted_once_and_on_its_own_side",
    ),
    Figure(
        "group-verdict",
        "which families a sitting under a group plan certifies",
        "training.statistics.group_plan.decide_group",
        f"{STATISTICS}/test_group_plan.py::test_a_failed_family_does_not_stop_the_others",
    ),
    Figure(
        "score-corrected",
        "what an ended exam comes to under decisions turned since",
        "training.quizzes.recounting.recount",
        f"{QUIZZES}/test_rescoring.py::TestService::test_a_good_part_that_was_bad_becomes_a_miss",
    ),
    # Exam plans
    Figure(
        "plan-curve",
        "how often a person with a given miss rate passes a group plan",
        "training.statistics.group_plan.group_risks",
        f"{STATISTICS}/test_group_plan.py::test_table_of_equal_rates",
    ),
    Figure(
        "plan-risks",
        "whom a plan lets through and whom it stops, of a hundred people",
        "training.quizzes.risks.risks_of",
        f"{QUIZZES}/test_risks.py::test_the_group_plan_separates_five_from_twenty_per_cent",
    ),
    Figure(
        "fixed-risks",
        "how often a fixed plan (n, c) is passed at a given miss rate",
        "training.statistics.sampling_plan.acceptance_probability",
        f"{STATISTICS}/test_sampling_plan.py::test_design_table",
    ),
    Figure(
        "second-try",
        "how often somebody passes in one of several tries",
        "training.statistics.sampling_plan.repeated_risk",
        f"{STATISTICS}/test_sampling_plan.py::"
        "test_a_second_try_on_the_same_day_nearly_doubles_beta",
    ),
    Figure(
        "try-number",
        "which try the next exam is, what it waits for, and when quality releases it",
        "training.quizzes.trying_again.hold_of",
        f"{QUIZZES}/test_trying_again.py::test_after_three_tries_in_ninety_days_quality_releases",
    ),
    Figure(
        "draw-again",
        "whether a draw made again from its stored seed is the one presented",
        "training.quizzes.selectors.draw.explain_draw",
        f"{QUIZZES}/test_redrawing.py::test_the_draw_is_made_again_from_the_stored_seed",
    ),
    Figure(
        "draw-strata",
        "parts drawn of each stratum of severity ÷ limit, of those wanted",
        "training.quizzes.blueprint.quotas",
        f"{QUIZZES}/test_drawing.py::test_blueprint_is_kept_where_the_bank_allows",
    ),
    Figure(
        "draw-own-jobs",
        "parts drawn from the person's own jobs",
        "training.quizzes.drawing.own_jobs_first",
        f"{QUIZZES}/test_redrawing.py::TestPure::"
        "test_six_of_ten_come_from_own_jobs_wherever_the_bank_has_them",
    ),
    Figure(
        "screen-scale",
        "pixels per millimetre of a screen, and how large a part is shown",
        "training.quizzes.screen_check.pixels_per_mm",
        f"{QUIZZES}/test_screen_check.py::test_the_size_of_a_screen_by_a_card",
    ),
    Figure(
        "critical-block",
        "how many clear parts a critical level takes, none missed",
        "training.statistics.family_evidence.critical_block",
        f"{STATISTICS}/test_family_evidence.py::test_block_of_29_without_a_miss",
    ),
    Figure(
        "bank-ladder",
        "which plan the fresh specimens of a family carry, and how many are wanted",
        "training.statistics.bank_ladder.best_plan_for_bank",
        f"{STATISTICS}/test_bank_ladder.py::test_own_plan_needs_twice_its_cap_fresh",
    ),
    Figure(
        "own-plan-curve",
        "how often a side of a family's own plan is passed at a given rate",
        "training.statistics.sequential_plan.operating_characteristic",
        f"{STATISTICS}/test_sequential_plan.py::test_characteristic_equals_the_sum_over_every_path",
    ),
    Figure(
        "sitting-length",
        "judgements of a sitting in the mean, and what 95 of 100 stay within",
        "training.quizzes.risks.lengths",
        f"{STATISTICS}/test_sitting_length.py::"
        "test_until_lost_agrees_with_sittings_played_by_chance",
    ),
    Figure(
        "specimens-wanted",
        "how many specimens of which severity a family lacks, and who waits",
        "training.quizzes.selectors.wanted.specimens_wanted",
        f"{QUIZZES}/views/test_wanted.py::test_too_few_for_an_exam_stand_first_with_who_waits",
    ),
    Figure(
        "pass-rates",
        "sittings passed by language and crew, with exact 95 % intervals from ten on",
        "training.quizzes.selectors.plan_reviews.plan_year",
        f"{QUIZZES}/views/test_plan_review.py::test_rates_of_few_are_not_given",
    ),
    Figure(
        "plan-consistency",
        "would a second sitting decide the same, is the decision right; from 30 people",
        "training.quizzes.selectors.plan_reviews.plan_consistency",
        f"{STATISTICS}/test_consistency.py::"
        "test_a_second_sitting_of_300_operators_agrees_as_often_as_estimated",
    ),
    # Certificates and the matrix
    Figure(
        "family-evidence",
        "what the last three sittings of a family show together",
        "training.statistics.family_evidence.accumulate",
        f"{STATISTICS}/test_family_evidence.py::test_24_specimens_allow_2_misses",
    ),
    Figure(
        "miss-interval",
        "exact two-sided 95 % interval of a miss rate",
        "training.statistics.proportions.clopper_pearson",
        f"{STATISTICS}/test_proportions.py::test_both_agree_with_statsmodels",
    ),
    Figure(
        "may-run-counts",
        "how many people may run a job alone, with a buddy, not at all",
        "certification.certificates.standing.table",
        f"{CERTIFICATES}/test_standing_table.py::test_table_gives_what_explain_gives",
    ),
    # Specimens
    Figure(
        "proportion-right",
        "how often a specimen is answered right, drawn towards the bank's, with its 95 %",
        "training.statistics.item_difficulty.shrunken_proportion",
        f"{STATISTICS}/test_item_difficulty.py::test_posterior_is_the_beta_distribution_of_scipy",
    ),
    Figure(
        "item-difficulty",
        "difficulty in logits with its standard error",
        "training.statistics.rasch.fit_rasch",
        f"{STATISTICS}/test_rasch_referees.py::test_random_one_parameter_banks_agree_with_girth",
    ),
    Figure(
        "item-rank",
        "the place among specimens with thirty answers or more, 1 for the hardest",
        "training.quizzes.specimen_figures.bank_figures",
        f"{QUIZZES}/test_specimen_figures.py::"
        "test_only_those_with_thirty_answers_are_ranked_the_hardest_first",
    ),
    Figure(
        "linked",
        "whether the answers tie all specimens to one scale",
        "training.statistics.linkage.why_not_linked",
        f"{STATISTICS}/test_rasch_input.py::test_separate_halves_are_called_not_linked",
    ),
    Figure(
        "item-flags",
        "key in doubt, too close to call, perhaps known",
        "training.statistics.item_flags.flag_items",
        f"{STATISTICS}/test_item_flags.py::test_probabilities_are_those_of_the_beta_distribution",
    ),
    Figure(
        "drift",
        "by how many standard errors a specimen has become easier",
        "training.statistics.item_flags.flag_items",
        f"{STATISTICS}/test_item_flags.py::test_drift_is_the_log_odds_ratio_of_statsmodels",
    ),
    Figure(
        "answers-over-time",
        "proportion right in groups of answers, with exact 95 % intervals",
        "training.quizzes.specimen_maps.spans_of",
        f"{QUIZZES}/test_specimen_maps.py::"
        "test_spans_hold_every_answer_once_with_its_exact_interval",
    ),
    Figure(
        "exposure",
        "how many people have met a specimen, and when last",
        "training.quizzes.selectors.specimen_answers.answer_book",
        f"{QUIZZES}/test_specimen_answers.py::test_only_the_first_meeting_of_a_person_counts",
    ),
    Figure(
        "missed-by-hour",
        "misses by crew and hour, beside what the specimens let expect",
        "training.statistics.conditions.compare_conditions",
        f"{STATISTICS}/test_conditions.py::test_the_chance_is_the_exact_binomial_tail",
    ),
    # The reference panel
    Figure(
        "panel-agreement",
        "verdicts of the panel that stand behind the key",
        "training.quizzes.selectors.specimen_panel.panel_agreement",
        f"{QUIZZES}/views/test_specimen_statistics.py::test_its_verdicts_stand_beside_the_answers",
    ),
    Figure(
        "panel-member-sides",
        "what a member accepts or rejects against what the others settled",
        "training.statistics.panel_members.more_often",
        f"{STATISTICS}/test_panel_members.py::test_the_lady_tasting_tea",
    ),
    Figure(
        "panel-settled",
        "whether the looks of a panel round settle a specimen, and on what",
        "training.statistics.panel.settle",
        f"{STATISTICS}/test_panel.py::test_rules",
    ),
    Figure(
        "panel-ac1",
        "how far the members of a panel agree (Gwet's AC1 beside Fleiss' kappa)",
        "training.statistics.agreement.gwet_ac1",
        f"{STATISTICS}/test_agreement.py::test_kappa_sinks_when_bad_parts_are_rare_and_ac1_does_not",
    ),
    Figure(
        "panel-member-limit",
        "where a member draws the line, in multiples of the limit",
        "training.statistics.operator_limit.fit_limit",
        f"{STATISTICS}/test_operator_limit.py::test_every_number_agrees_with_the_grid_written_out",
    ),
    # Agreement studies
    Figure(
        "study-rates",
        "parts right every time, misses, false alarms, with exact two-sided 95 % intervals",
        "training.statistics.agreement.attribute_study",
        f"{QUIZZES}/agreement/test_published.py::test_effectiveness_with_its_interval",
    ),
    Figure(
        "study-cohen",
        "kappa of a person against the reference, and of each pair (Cohen)",
        "training.statistics.agreement.cohen_kappa",
        f"{QUIZZES}/agreement/test_published.py::test_pairs",
    ),
    Figure(
        "study-fleiss",
        "kappa of everybody, and of one person from round to round (Fleiss)",
        "training.statistics.agreement.fleiss_kappa",
        f"{QUIZZES}/agreement/test_published.py::test_fleiss_between_and_within",
    ),
    Figure(
        "study-ac1",
        "agreement of everybody that a rare answer hardly lowers (Gwet's AC1)",
        "training.statistics.agreement.gwet_ac1",
        f"{QUIZZES}/agreement/test_published.py::test_gwet_beside_fleiss",
    ),
    Figure(
        "study-alpha",
        "agreement of everybody by Krippendorff's alpha",
        "training.statistics.agreement.krippendorff_alpha",
        f"{STATISTICS}/test_agreement.py::test_krippendorff_agrees_with_counting_all_pairs",
    ),
    Figure(
        "study-verdict",
        "what a study comes to: the step of its worst figure, and which parts are disputed",
        "training.quizzes.agreement.reading.read_study",
        f"{QUIZZES}/agreement/test_published.py::test_the_verdict_is_the_worst_figure",
    ),
    Figure(
        "study-precision",
        "how wide the intervals of a planned study would be",
        "training.quizzes.agreement.precision.precision_of",
        f"{QUIZZES}/agreement/test_precision.py::test_the_usual_design",
    ),
)
