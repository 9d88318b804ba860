"""Load an agreement study's answers from a CSV or XLSX file: all of them, or nothing and every problem."""

from training.people.sheets.command import ImportCommand
from training.quizzes.agreement.importing import STUDY


class Command(ImportCommand):
    help = "Load an agreement study: one row for each part (A-1, A-2, …) or one for each answer."
    what = STUDY
