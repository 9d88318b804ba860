"""Turns, certificates and orders of the invented plant agree with the rule as of their days."""

from collections import Counter, defaultdict
from functools import cache

from certification.certificates.standing import (
    Answer,
    Asked,
    ReasonCode,
    Rules,
    Standing,
    Verdict,
    explain,
    family_standing,
)
from certification.certificates.standing_facts import Level
from media_demo.plant.read import at, on, rows
from tests.media_demo.plant.seed_facts import (
    RULES,
    TODAY,
    ZONE,
    codes,
    crew,
    jobs,
    names,
    numbers,
    people,
)


@cache
def judged_turns() -> list[tuple[dict[str, str], Answer]]:
    """Every turn but those spent learning, judged as of its beginning."""
    judged = []
    for turn in rows("turns"):
        if turn["kind"] != "learning":
            began = at(TODAY, turn["start_day"], turn["start_time"], ZONE)
            ends = at(TODAY, turn["end_day"], turn["end_time"], ZONE)
            asked = Asked.at(began, ZONE, ends=ends)
            assert asked.day == on(TODAY, turn["day"])
            person, job = people()[turn["person"]], jobs()[turn["job"]]
            judged.append((turn, explain(person, job, RULES, asked)))
    return judged


def test_every_turn_passes_as_of_its_day_but_one() -> None:
    judged = judged_turns()
    assert Counter(turn["kind"] for turn, _ in judged) == {
        "turn": 1767,
        "relief": 642,
        "under_supervision": 2,
    }
    beside = [t["kind"] for t, answer in judged if answer.verdict is Verdict.BUDDY]
    assert beside.count("under_supervision") == 2
    refused = [
        (turn, answer)
        for turn, answer in judged
        if turn["kind"] != "under_supervision" and answer.verdict is not Verdict.ALONE
    ]
    ((turn, answer),) = refused
    assert (names()[turn["person"]], turn["job"], turn["day"], turn["exception"]) == (
        "Shabnam Noori",
        "124",
        "-17",
        "EX-01",
    )
    assert codes(answer) == [
        ("not_certified", "jetting", None, None),
        ("no_observed_check", "G13", None, None),
    ]


def test_fifteen_turns_rest_on_a_reading_within_the_grace() -> None:
    strict = Rules(reading_grace_minutes=0)
    late = 0
    for turn, answer in judged_turns():
        asked = Asked.at(at(TODAY, turn["start_day"], turn["start_time"], ZONE), ZONE)
        person, job = people()[turn["person"]], jobs()[turn["job"]]
        late += len(explain(person, job, strict, asked).reasons) > len(answer.reasons)
    assert late == 15


def test_the_night_on_which_a_certificate_ends_is_flagged() -> None:
    flagged = [
        (names()[turn["person"]], turn["press"], turn["day"])
        for turn, answer in judged_turns()
        for reason in answer.ends_during
        if (reason.code, reason.subject) == (ReasonCode.LAPSED, "crack")
    ]
    assert set(flagged) == {("Moses Chirwa", "P01", "-1")}


def test_certificates_of_active_people() -> None:
    held: dict[tuple[str, str], Level] = defaultdict(lambda: Level.ORDINARY)
    for person in crew():
        for certificate in people()[person].certificates:
            held[person, certificate.family] = max(
                held[person, certificate.family], certificate.level
            )
    standings = {
        (names()[person], family): family_standing(
            people()[person].certificates, family, level, TODAY, RULES
        )
        for (person, family), level in held.items()
    }
    assert len(standings) == 1257
    assert sum(level is Level.CRITICAL for level in held.values()) == 241
    lapsed = {pair: s.ends for pair, s in standings.items() if s.standing is Standing.LAPSED}
    assert lapsed == {
        ("Moses Chirwa", "crack"): on(TODAY, -1),
        ("Quang Tran Vu", "burn"): on(TODAY, -3),
    }
    kinds = Counter(s.standing for s in standings.values())
    assert kinds == {Standing.IN_DATE: 1221, Standing.DUE_SOON: 34, Standing.LAPSED: 2}
    assert sum(0 <= (s.days_left or 0) <= 90 for s in standings.values()) == 108
    assert standings["Beatriz Lobato", "weld-line"].ends == on(TODAY, 5)
    assert standings["Lucía Tenorio", "insert"].days_left == 12


def test_the_requalification_list() -> None:
    lines = {
        names()[number]: person.requalifications[0]
        for number, person in people().items()
        if person.requalifications
    }
    assert len(lines) == 24
    assert {name for name, line in lines.items() if line.blocks(TODAY)} == {
        "Chidi Onwuka",
        "Leticia Orozco",
        "Petra Hruskova",
        "Tiago Furtado",
    }
    assert sum(line.closed is None for line in lines.values()) == 17
    after = {name for name, line in lines.items() if line.blocks(on(TODAY, 8))}
    assert len(after) == 17
    assert not {name for name, line in lines.items() if line.blocks(on(TODAY, -7))}


def test_early_renewal_keeps_the_old_end_day() -> None:
    facts = people()[numbers()["Moses Chirwa"]]
    first, second = (c for c in facts.certificates if c.family == "ejector-mark")
    assert RULES.renewed_until(second.granted, first.expires) == second.expires
