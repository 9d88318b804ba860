"""Carry certificates over from a CSV or XLSX file: all of it, or nothing and every problem."""

from certification.certificates.importing import CERTIFICATES
from training.people.sheets.command import ImportCommand


class Command(ImportCommand):
    help = "Carry paper certificates over, each with its reference and who vouches for it."
    what = CERTIFICATES
