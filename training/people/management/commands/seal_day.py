"""Sign the head of the plant's chain for a day, to be printed and kept outside the database."""

import datetime as dt
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from training.people.record.sealing import seal_day


class Command(BaseCommand):
    help = "Seal a day of the record (today in the plant's time zone unless --day is given)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--day", type=dt.date.fromisoformat, help="YYYY-MM-DD")

    def handle(self, *args: Any, **options: Any) -> None:
        moment = timezone.now()
        seal = seal_day(options["day"] or timezone.localdate(moment), moment=moment)
        self.stdout.write(f"{seal.day} link {seal.position} {seal.hash}\nsigned {seal.signature}")
