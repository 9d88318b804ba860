"""The standing rule on the invented plant gives the counts worked out for it beforehand.

Source of the expected figures: the plant's own scenario notes, computed with a separate plain
program from the same files. Plant data is invented; the rule is common practice, no source.
"""

from collections import Counter
from datetime import timedelta

import numpy as np
import pytest

from certification.certificates.standing import (
    Asked,
    BuddyBarCode,
    BuddyRefusal,
    StandingTable,
    Verdict,
    buddy_may,
    explain,
)
from media_demo.plant.read import at, rows
from tests.media_demo.plant.seed_facts import (
    RULES,
    TODAY,
    ZONE,
    ask,
    codes,
    crew,
    jobs,
    names,
    numbers,
    people,
    plan,
    verdicts,
)


def test_active_people_by_crew() -> None:
    assert Counter(crew().values()) == {"D": 24, "L": 21, "N": 17}


def test_whole_plant_today() -> None:
    assert verdicts(list(crew()), list(jobs())) == {"alone": 439, "buddy": 9, "no": 1040}


def test_whole_plant_today_as_a_table() -> None:
    grid = StandingTable([people()[p] for p in crew()], list(jobs().values()), RULES).on(TODAY)
    assert np.bincount(grid.ravel()).tolist() == [1040, 9, 439]


def test_who_needs_a_buddy_today() -> None:
    beside = Counter(
        names()[person]
        for person in crew()
        for job in jobs()
        if ask(names()[person], job).verdict is Verdict.BUDDY
    )
    assert beside == {"Yusra Haddadin": 1, "Celestino Baca": 4, "Emre Sarikaya": 4}


def test_tonight_before_and_after_the_sick_call() -> None:
    night = [person for person, shift in crew().items() if shift == "N"]
    tonight = list(plan().values())
    assert verdicts(night, tonight) == {"alone": 60, "buddy": 2, "no": 176}
    night.remove(numbers()["Joanna Struk"])
    assert verdicts(night, tonight) == {"alone": 57, "buddy": 2, "no": 165}


TONIGHT = {
    "P01": "Joanna Struk, Elif Tunceli",
    "P02": "Aminata Kallon, Joanna Struk, Elif Tunceli, Pascal Mugabo, Lucía Tenorio, Fatoumata Bah",
    "P03": "Aminata Kallon, Pascal Mugabo, Fatoumata Bah, Kamran Gul",
    "P04": "Hoa Nguyen Thi, Aminata Kallon, Rosa Elvira Chumpitaz, Elif Tunceli, Lucía Tenorio",
    "P05": "Hoa Nguyen Thi, Aminata Kallon, Pascal Mugabo, Dorji Wangmo",
    "P06": "Aminata Kallon, Joanna Struk, Elif Tunceli, Lucía Tenorio",
    "P07": "Moses Chirwa, Nadia Bensalem, Aminata Kallon, Rosa Elvira Chumpitaz, Dorji Wangmo",
    "P08": "Aminata Kallon, Oksana Hrytsenko, Dorji Wangmo, Fatoumata Bah, Kamran Gul",
    "P09": "Hoa Nguyen Thi, Nadia Bensalem, Aminata Kallon",
    "P10": "Aminata Kallon, Rosa Elvira Chumpitaz, Gerardo Pineda, Bogdan Marcu, Ismail Warsame",
    "P11": "Aminata Kallon, Bogdan Marcu, Oksana Hrytsenko, Ismail Warsame",
    "P12": "Nadia Bensalem, Aminata Kallon, Gerardo Pineda, Ismail Warsame",
    "P13": "Aminata Kallon, Gerardo Pineda, Bogdan Marcu, Oksana Hrytsenko",
    "P14": "Aminata Kallon, Rosa Elvira Chumpitaz, Gerardo Pineda, Bogdan Marcu, Ismail Warsame",
}


@pytest.mark.parametrize("press", sorted(TONIGHT))
def test_who_may_run_each_press_tonight(press: str) -> None:
    night = [names()[person] for person, shift in crew().items() if shift == "N"]
    answers = {name: ask(name, plan()[press]).verdict for name in night}
    alone = {name for name, verdict in answers.items() if verdict is Verdict.ALONE}
    beside = {name for name, verdict in answers.items() if verdict is Verdict.BUDDY}
    assert alone == set(TONIGHT[press].split(", "))
    assert beside == ({"Celestino Baca"} if press in {"P03", "P05"} else set())


def test_tonights_plan_is_all_alone() -> None:
    planned = rows("night_plan_today")
    assert len(planned) == 14
    for row in planned:
        assert ask(row["name"], row["job"]).verdict is Verdict.ALONE, row


def test_why_kamran_gul_may_not_run_the_latch_hook() -> None:
    assert codes(ask("Kamran Gul", "115")) == [
        ("not_certified", "burn", None, None),
        ("not_certified", "crack", None, None),
        ("not_certified", "ejector-mark", None, None),
        ("ordinary_only", "flash", None, None),
        ("ordinary_only", "short-shot", None, None),
        ("not_certified", "void-bubble", None, None),
        ("no_observed_check", "G9", None, None),
    ]


# Job numbers, verdict and reasons of everybody who is held back on a job they hold by group.
HELD_BACK = [
    ("Adaeze Okonta", "123", "no", [("refresher_wanted", "G12", None, 131)]),
    (
        "Celestino Baca",
        "103 104",
        "no",
        [
            ("observed_check_lapsed", "G2", None, 212),
            ("wi_unread", "D", None, None),
            ("alert_unread", "A-09", None, None),
        ],
    ),
    ("Celestino Baca", "105 106", "buddy", [("observed_check_lapsed", "G3", None, 212)]),
    ("Celestino Baca", "108 109", "buddy", [("observed_check_lapsed", "G5", None, 212)]),
    (
        "Chidi Onwuka",
        "103 104 117 118 119 120",
        "no",
        [("requalification", "RQ-03", None, None)],
    ),
    ("Daryna Kovalchyk", "123", "no", [("alert_unread", "A-11", None, None)]),
    ("Dilnoza Rashidova", "111 112", "no", [("alert_unread", "A-08", None, None)]),
    ("Emre Sarikaya", "117 118 119 120", "buddy", [("refresher_wanted", "G10", None, 140)]),
    ("Fiorella Campos", "123", "no", [("refresher_wanted", "G12", None, 126)]),
    ("Kadiatou Sowe", "123", "no", [("refresher_wanted", "G12", None, 152)]),
    ("Kofi Darkwah", "115 116", "no", [("alert_unread", "A-10", None, None)]),
    (
        "Leticia Orozco",
        "103 104 105 106 111 112",
        "no",
        [("requalification", "RQ-03", None, None)],
    ),
    ("Moses Chirwa", "115 116 123", "no", [("lapsed", "crack", -1, None)]),
    ("Nuno Sardinha", "110 111 112", "no", [("near_vision_overdue", "", -4, None)]),
    (
        "Petra Hruskova",
        "103 104 117 118 119 120",
        "no",
        [("requalification", "RQ-03", None, None)],
    ),
    ("Quang Tran Vu", "113 114", "no", [("lapsed", "burn", -3, None)]),
    ("Tiago Furtado", "103 104 105 106", "no", [("requalification", "RQ-03", None, None)]),
    ("Uchenna Agbaje", "103", "no", [("wi_unread", "D", None, None)]),
    ("Wioletta Kmiec", "111 112", "no", [("alert_unread", "A-08", None, None)]),
]


@pytest.mark.parametrize(("name", "numbers_", "verdict", "reasons"), HELD_BACK)
def test_who_is_held_back_and_why(
    name: str, numbers_: str, verdict: str, reasons: list[tuple[str, str, int | None, int | None]]
) -> None:
    for job in numbers_.split():
        answer = ask(name, job)
        assert answer.verdict.value == verdict
        assert codes(answer) == reasons


def test_nobody_else_is_held_back() -> None:
    groups = {row["personnel_no"]: row["job_groups"].split() for row in rows("people")}
    held = [
        (names()[person], job)
        for person in crew()
        for job, facts in jobs().items()
        if facts.job_group in groups[person]
    ]
    assert len(held) == 490
    stopped = {(name, job) for name, job in held if ask(name, job).verdict is not Verdict.ALONE}
    listed = {(name, job) for name, listed, _, _ in HELD_BACK for job in listed.split()}
    assert len(stopped) == 51
    assert stopped == listed
    assert len({name for name, _ in stopped}) == 17


COVER = {
    "D": "9 9 5 6 7 7 11 8 8 12 11 11 5 5 10 10 7 7 7 7 5 5 6 9",
    "L": "6 6 8 8 6 6 7 7 7 9 7 7 5 5 5 5 4 4 4 4 8 8 4 8",
    "N": "4 4 5 5 4 4 4 4 4 4 4 4 6 6 2 2 5 5 5 5 5 5 3 5",
}


@pytest.mark.parametrize("shift", sorted(COVER))
def test_cover(shift: str) -> None:
    team = [people()[person] for person, theirs in crew().items() if theirs == shift]
    grid = StandingTable(team, list(jobs().values()), RULES).on(TODAY)
    assert (grid == 2).sum(axis=0).tolist() == [int(count) for count in COVER[shift].split()]


def test_yusra_haddadin_beside_a_buddy() -> None:
    answer = ask("Yusra Haddadin", "124")
    assert answer.verdict is Verdict.BUDDY
    assert codes(answer) == [
        *(
            ("not_certified", family, None, None)
            for family in ("flow-line", "gloss", "jetting", "sink", "stress-whitening", "warp")
        ),
        ("no_observed_check", "G13", None, None),
        ("no_authorisation", "cutter", None, None),
    ]
    assert answer.buddy_bars == ()


def test_stefka_dimova_may_be_her_buddy_from_the_next_press() -> None:
    learner, buddy = (people()[numbers()[n]] for n in ("Yusra Haddadin", "Stefka Dimova"))
    asked = Asked(TODAY)
    job = jobs()["124"]
    assert buddy_may(buddy, learner, job, RULES, asked, same_shift=True, beside=True).may
    apart = buddy_may(learner, learner, job, RULES, asked, same_shift=False, beside=False)
    assert apart.refusals == tuple(BuddyRefusal)


def test_a_critical_job_is_no_place_for_a_buddy() -> None:
    answer = ask("Adaeze Okonta", "123")
    assert [bar.code for bar in answer.buddy_bars] == [BuddyBarCode.CRITICAL_JOB]


@pytest.mark.parametrize(
    ("job", "verdict"),
    [(j, "buddy") for j in ("101", "102", "111", "112")]
    + [(j, "alone") for j in ("113", "114", "115", "116")],
)
def test_beatriz_lobato_on_day_six_without_renewal(job: str, verdict: str) -> None:
    assert ask("Beatriz Lobato", job, 5).verdict is Verdict.ALONE
    assert ask("Beatriz Lobato", job, 6).verdict.value == verdict


def test_lucia_tenorio_on_day_thirteen() -> None:
    verdicts = {job: ask("Lucía Tenorio", job, 13).verdict.value for job in jobs()}
    assert {verdicts[job] for job in ("110", "113", "114")} == {"no"}
    assert {verdicts[job] for job in ("121", "122")} == {"alone"}
    assert codes(ask("Lucía Tenorio", "110", 13)) == [
        ("lapsed", "insert", 12, None),
        ("alert_unread", "A-12", None, None),
    ]
    assert ask("Lucía Tenorio", "110", 3).verdict is Verdict.ALONE
    assert codes(ask("Lucía Tenorio", "110", 4)) == [("alert_unread", "A-12", None, None)]


def test_moses_chirwa_at_two_in_the_night_of_day_minus_ten() -> None:
    moment = at(TODAY, -9, "02:00", ZONE)
    standing_there = [
        turn
        for turn in rows("turns")
        if turn["press"] == "P01"
        and at(TODAY, turn["start_day"], turn["start_time"], ZONE) <= moment
        and moment < at(TODAY, turn["end_day"], turn["end_time"], ZONE)
    ]
    assert [(t["person"], t["kind"]) for t in standing_there] == [
        (numbers()["Moses Chirwa"], "relief")
    ]
    (turn,) = standing_there
    asked = Asked.at(at(TODAY, turn["start_day"], turn["start_time"], ZONE), ZONE)
    assert asked.day == TODAY - timedelta(days=10)
    person, job = people()[turn["person"]], jobs()[turn["job"]]
    assert explain(person, job, RULES, asked).verdict is Verdict.ALONE
    assert explain(person, job, RULES, Asked(TODAY)).verdict is Verdict.NO
