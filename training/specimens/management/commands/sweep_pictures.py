"""Find files in the folder of pictures that nothing refers to, and remove them when asked."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from training.specimens.models import Frame
from training.specimens.pictures.storage import path_of
from training.specimens.pictures.sweeping import unnamed_files


class Command(BaseCommand):
    help = "List picture files that no row names, and rows whose file is lost. --delete removes the files."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--delete", action="store_true", help="remove the files listed")

    def handle(self, *_: Any, **options: Any) -> None:
        names = list(Frame.objects.values_list("file", flat=True))
        count = 0
        for path in unnamed_files(names):
            self.stdout.write(str(path))
            if options["delete"]:
                path.unlink()
            count += 1
        for name in names:
            if not path_of(name).is_file():
                self.stderr.write(f"lost: {name}")
        done = "removed" if options["delete"] else "found; --delete removes them"
        self.stdout.write(f"{count} files without a row {done}.")
