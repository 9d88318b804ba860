"""The published 50 × 3 × 3 table, loaded from a file by the command, gives its published results.

Table and results: AIAG, Measurement Systems Analysis, 4th ed. 2010, chapter III-C, table III-C 1 and
pages 131 to 140. The table was typed from memory; it stands with its source at the head of
tests/training/statistics/published/attribute_study_50x3x3.csv and reproduces every cross table and
kappa of the chapter. Printed kappas have two decimals (.86 .78 .79; .88 .92 .77); the further decimals
are those of statsmodels, scikit-learn and R's irr, which agree with each other. The effectiveness counts
42, 45 and 40 of 50 were looked up (a public quality forum quotes them), misses and false alarms are from
memory (6.3, 6.3, 12.5 and 4.9, 2.0, 8.8 per cent). Intervals: R's binom.test.
"""

from pathlib import Path

import pytest
from django.core.management import call_command

from tests.conftest import NOON
from training.people.models import Person
from training.quizzes.agreement.reading import StudyReading, read_study
from training.quizzes.models import AgreementStudy
from training.quizzes.selectors.studies import progress_of_study, study_table
from training.statistics.agreement import Verdict

pytestmark = pytest.mark.django_db
TABLE = Path(__file__).parents[2] / "statistics" / "published" / "attribute_study_50x3x3.csv"


@pytest.fixture
def read(tmp_path: Path, quality: Person) -> StudyReading:
    """Load the table without its comment lines, as a person would, and read the study."""
    lines = TABLE.read_text(encoding="utf-8").splitlines(keepends=True)
    sheet = tmp_path / "50 parts.csv"
    sheet.write_text("".join(line for line in lines if not line.startswith("#")), encoding="utf-8")
    call_command("import_study", str(sheet), by=quality.personnel_no)
    study = AgreementStudy.objects.get()
    assert (study.name, study.repeats) == ("50 parts", 3)
    answers = study_table(progress_of_study(study, NOON)).answers
    assert answers is not None
    return read_study(answers)


def test_pairs(read: StudyReading) -> None:
    found = {(pair.first, pair.second): pair.kappa.kappa for pair in read.figures.pairs}
    assert found == {
        ("A", "B"): pytest.approx(0.862944, abs=1e-6),
        ("A", "C"): pytest.approx(0.776119, abs=1e-6),
        ("B", "C"): pytest.approx(0.788007, abs=1e-6),
    }


def test_against_the_reference(read: StudyReading) -> None:
    found = [own.figures.kappa_reference.kappa for own in read.judges]
    assert found == pytest.approx([0.878788, 0.922982, 0.773960], abs=1e-6)


def test_fleiss_between_and_within(read: StudyReading) -> None:
    assert read.figures.fleiss is not None
    assert read.figures.fleiss.kappa == pytest.approx(0.793606, abs=1e-6)
    within = [own.figures.kappa_within for own in read.judges]
    kappas = [each.kappa for each in within if each is not None]
    assert kappas == pytest.approx([0.760000, 0.845073, 0.702911], abs=1e-6)


def test_gwet_beside_fleiss(read: StudyReading) -> None:
    """AC1 of the nine ratings by R's irrCAC: 0.83688."""
    assert read.figures.ac1 is not None
    assert read.figures.ac1.value == pytest.approx(0.83688, abs=1e-5)


def test_effectiveness_with_its_interval(read: StudyReading) -> None:
    rates = [own.figures.effectiveness for own in read.judges]
    assert [(rate.count, rate.of) for rate in rates] == [(42, 50), (45, 50), (40, 50)]
    intervals = [end for rate in rates for end in (rate.low, rate.high)]
    assert intervals == pytest.approx(
        [0.708874, 0.928299, 0.781865, 0.966725, 0.662817, 0.899698], abs=1e-6
    )
    system = read.figures.system
    assert (system.count, system.of) == (39, 50)


def test_misses_and_false_alarms(read: StudyReading) -> None:
    misses = [(own.figures.misses.count, own.figures.misses.of) for own in read.judges]
    alarms = [(own.figures.false_alarms.count, own.figures.false_alarms.of) for own in read.judges]
    assert misses == [(3, 48), (3, 48), (6, 48)]
    assert alarms == [(5, 102), (2, 102), (9, 102)]


def test_the_verdict_is_the_worst_figure(read: StudyReading) -> None:
    """By the chapter's acceptance values (from memory) the misses of all three are over 5 %."""
    assert [own.figures.verdict for own in read.judges] == [Verdict.UNACCEPTABLE] * 3
    assert [own.figures.false_alarm_verdict for own in read.judges] == [
        Verdict.ACCEPTABLE,
        Verdict.ACCEPTABLE,
        Verdict.MARGINAL,
    ]


def test_the_disputed_parts_are_those_coded_as_such(read: StudyReading) -> None:
    """The table's own code x marks the eleven parts on which answers differ."""
    coded = {
        line.split(",")[0]
        for line in TABLE.read_text(encoding="utf-8").splitlines()
        if line.endswith(",x")
    }
    assert {part.label for part in read.disputed} == coded
    assert len(coded) == 11
