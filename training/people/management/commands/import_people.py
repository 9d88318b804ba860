"""Import people from a CSV or XLSX file: all of it, or nothing and every problem."""

from training.people.importing import PEOPLE
from training.people.sheets.command import ImportCommand


class Command(ImportCommand):
    help = "Import people; new ones get an initial PIN, which is printed once."
    what = PEOPLE
