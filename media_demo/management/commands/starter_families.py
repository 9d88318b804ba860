"""Give a new plant the trade's defect families, their groups, cautions and lessons to start from."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils import timezone

from media_demo.plant.build import calendar_of
from media_demo.plant.load_floor import Floor, load_cautions, load_families
from media_demo.plant.load_lessons import load_lessons
from training.floor.models import Family, LimitLine


class Command(BaseCommand):
    help = "Load 26 defect families with groups, cautions and lessons; limits only if asked for."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--limits",
            action="store_true",
            help="also the demo's general limits, to be replaced with the site's own",
        )

    @transaction.atomic
    def handle(self, *args: Any, **options: Any) -> None:
        if Family.objects.exists():
            raise CommandError("There are families already: change them on their pages.")
        calendar, floor = calendar_of(timezone.now()), Floor()
        load_families(calendar, floor)
        load_cautions(floor)
        lessons = load_lessons(calendar, {}, floor)
        if options["limits"]:
            LimitLine.objects.bulk_create(floor.lines)
        self.stdout.write(f"{len(floor.families)} families and {lessons} lessons to start from.")
