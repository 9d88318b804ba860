"""Carry observed checks over from a CSV or XLSX file: all of it, or nothing and every problem."""

from certification.certificates.importing_checks import OBSERVED_CHECKS
from training.people.sheets.command import ImportCommand


class Command(ImportCommand):
    help = "Carry sign-offs at the press over from paper."
    what = OBSERVED_CHECKS
