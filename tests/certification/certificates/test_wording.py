"""Reasons as sentences: dates, names, both languages, no gendered endings for people."""

import re
from datetime import date, timedelta

import pytest

from certification.certificates import wording_texts
from certification.certificates.standing import (
    BuddyBar,
    BuddyBarCode,
    BuddyRefusal,
    Detail,
    FamilyStanding,
    Reason,
    ReasonCode,
    Standing,
    Verdict,
)
from certification.certificates.standing_reasons import FAMILY_CODES, PRACTICE_CODES, Remedy
from certification.certificates.wording import (
    Language,
    Names,
    buddy_bar_text,
    day_text,
    ending_text,
    reason_text,
    refusal_text,
    remedy_text,
    short_text,
    standing_text,
    verdict_text,
)

TODAY = date(2025, 11, 25)
YESTERDAY = TODAY - timedelta(days=1)
NAMES = Names(
    families={"crack": {"en": "Crack", "es": "Grieta"}},
    job_groups={"G12": {"en": "123", "es": "123"}},
    cautions={"cutters": {"en": "Gate cutters and knives", "es": "Cortadores y cuchillas"}},
    authorisations={"cutter": {"en": "Cutter", "es": "Cortador"}},
)


@pytest.mark.parametrize(
    ("reason", "english", "spanish"),
    [
        (
            Reason(ReasonCode.LAPSED, "crack", day=YESTERDAY),
            "Crack certificate ended yesterday, 24 Nov.",
            "El certificado de grieta terminó ayer, 24 nov.",
        ),
        (
            Reason(ReasonCode.LAPSED, "burn", day=date(2024, 12, 31)),
            "Burn certificate ended 31 Dec 2024.",
            "El certificado de burn terminó el 31 dic 2024.",
        ),
        (Reason(ReasonCode.ALERT_UNREAD, "A-08"), "Alert A-08 not read.", "Alerta A-08 sin leer."),
        (
            Reason(ReasonCode.REFRESHER_WANTED, "G12", days=131),
            "Away from 123 for 131 days: refresher at the press first.",
            "131 días sin trabajar 123: primero repaso en la prensa.",
        ),
        (
            Reason(ReasonCode.NEAR_VISION_OVERDUE, day=date(2025, 11, 21)),
            "Near-vision check overdue since 21 Nov.",
            "Revisión de visión cercana pendiente desde el 21 nov.",
        ),
        (
            Reason(ReasonCode.WI_UNREAD, "103", "D"),
            "Work instruction 103 rev D not read.",
            "Hoja de trabajo 103 rev D sin leer.",
        ),
        (
            Reason(ReasonCode.CAUTION_UNREAD, "cutters"),
            "Caution not read: gate cutters and knives.",
            "Precaución sin leer: cortadores y cuchillas.",
        ),
    ],
)
def test_reason_text(reason: Reason, english: str, spanish: str) -> None:
    assert reason_text(reason, "en", today=TODAY, names=NAMES) == english
    assert reason_text(reason, "es", today=TODAY, names=NAMES) == spanish


def details(code: ReasonCode) -> list[Detail]:
    return [detail for known, detail in wording_texts.REASONS if known is code]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("code", list(ReasonCode))
def test_every_code_has_sentence_and_remedy(code: ReasonCode, language: Language) -> None:
    assert Detail.NONE in details(code)
    for detail in details(code):
        reason = Reason(code, "crack", "D", YESTERDAY, 100, detail)
        texts = [
            reason_text(reason, language, today=TODAY, names=NAMES),
            remedy_text(reason, language, names=NAMES),
            short_text(reason, language, names=NAMES),
        ]
        if code not in PRACTICE_CODES and code.value not in {
            "wi_unread",
            "alert_unread",
            "caution_unread",
        }:
            texts.append(ending_text(reason, language, names=NAMES))
        for text in texts:
            assert text
            assert "{" not in text
            assert "None" not in text


def test_every_detail_is_said() -> None:
    assert {detail for _, detail in wording_texts.REASONS} == set(Detail)


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_other_answer_has_words(language: Language) -> None:
    texts = [buddy_bar_text(BuddyBar(code, "crack"), language) for code in BuddyBarCode]
    texts += [refusal_text(refusal, language) for refusal in BuddyRefusal]
    texts += [verdict_text(verdict, language) for verdict in Verdict]
    assert all(texts)
    assert len(set(texts)) == len(texts)
    assert set(wording_texts.REMEDIES) == set(Remedy)


@pytest.mark.parametrize(
    ("standing", "english", "spanish"),
    [
        (
            FamilyStanding(Standing.DUE_SOON, date(2025, 11, 30), 5),
            "Ends 30 Nov: 5 days left.",
            "Termina el 30 nov: quedan 5 días.",
        ),
        (
            FamilyStanding(Standing.DUE_SOON, TODAY, 0),
            "Ends today, 25 Nov: last day.",
            "Termina hoy, 25 nov: último día.",
        ),
        (
            FamilyStanding(Standing.DUE_SOON, date(2025, 11, 26), 1),
            "Ends tomorrow, 26 Nov: 1 day left.",
            "Termina mañana, 26 nov: queda 1 día.",
        ),
        (
            FamilyStanding(Standing.IN_DATE, date(2026, 3, 1), 96),
            "In date until 1 Mar 2026.",
            "Vigente hasta el 1 mar 2026.",
        ),
        (FamilyStanding(Standing.NOT_CERTIFIED), "Not certified.", "Sin certificado."),
    ],
)
def test_standing_text(standing: FamilyStanding, english: str, spanish: str) -> None:
    assert standing_text(standing, "en", today=TODAY) == english
    assert standing_text(standing, "es", today=TODAY) == spanish


def test_days_across_the_turn_of_the_year() -> None:
    assert day_text(date(2025, 12, 31), "en", today=date(2026, 1, 1)) == "yesterday, 31 Dec 2025"


def test_short_words_for_a_cell() -> None:
    found = [
        short_text(reason, "en", names=NAMES)
        for reason in (
            Reason(ReasonCode.LAPSED, "crack", day=YESTERDAY),
            Reason(ReasonCode.REFRESHER_WANTED, "G12", days=131),
            Reason(ReasonCode.ALERT_UNREAD, "A-08"),
            Reason(ReasonCode.REQUALIFICATION, "RQ-03"),
        )
    ]
    assert found == ["crack", "131 d", "A-08", "RQ-03"]


def test_family_codes_share_the_ending_sentence() -> None:
    for code in FAMILY_CODES:
        text = ending_text(Reason(code, "crack"), "es", names=NAMES)
        assert text == "El certificado de grieta termina durante este turno."


def spanish_texts() -> list[str]:
    tables = (
        wording_texts.REASONS,
        wording_texts.ENDING,
        wording_texts.REMEDIES,
        wording_texts.BUDDY_BARS,
        wording_texts.REFUSALS,
        wording_texts.VERDICTS,
    )
    return [text["es"] for table in tables for text in table.values()]


@pytest.mark.parametrize("text", spanish_texts())
def test_spanish_has_no_gendered_form_for_people(text: str) -> None:
    assert not re.search(r"\bsol[oa]\b|o/a|@|operador|certificad[oa]s\b", text)


def test_sentences_are_short() -> None:
    for texts in wording_texts.REASONS.values():
        assert len(texts["en"].split()) <= 12
        assert len(texts["es"].split()) <= 16
