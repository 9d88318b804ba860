"""Draw the rest of the invented plant's pictures; stop and start it as often as you like."""

import os
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from media_demo.plant.build import calendar_of, is_built
from media_demo.plant.pictures import draw_bank, draw_first_pieces, wanted
from media_demo.plant.series import draw_series

SAY_EVERY = 60


class Command(BaseCommand):
    help = "Draw the pictures of the demo plant's specimen bank that are not there yet."

    def handle(self, *args: Any, **options: Any) -> None:
        if not is_built():
            raise CommandError("There is no demo plant here: run `manage.py demo` first.")
        # The site beside it goes first.
        os.nice(10)
        moment = timezone.now()
        draw_first_pieces(moment, lambda _done, _all: None, tonight=False)
        day = calendar_of(moment).today
        # Two families' ladders and pairs first, so that every way to practise is there soon.
        draw_series(day=day, now=timezone.now, progress=lambda _done, _all: None, first=True)
        todo = wanted(first_hour=False)
        self.stdout.write(f"{len(todo)} specimens to draw")
        kept = draw_bank(todo, day=day, now=timezone.now, progress=self._say)
        draw_series(day=day, now=timezone.now, progress=self._say, first=False)
        self.stdout.write(self.style.SUCCESS(f"{kept} specimens drawn, all pictures are there"))

    def _say(self, done: int, total: int) -> None:
        if done % SAY_EVERY == 0:
            self.stdout.write(f"pictures: {done} of {total} specimens")
            self.stdout.flush()
