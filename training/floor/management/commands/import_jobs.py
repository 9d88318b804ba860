"""Import jobs and their limits from CSV or XLSX files: all of it, or nothing and every problem."""

from training.floor.importing import JOBS
from training.people.sheets.command import ImportCommand


class Command(ImportCommand):
    help = "Import jobs; limits from --limits FILE or from a sheet called limits of the workbook."
    what = JOBS
