"""Write a contact sheet of the rendered parts, or of one defect family."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from media_demo.pictures.sheet import make_sheet


class Command(BaseCommand):
    """``manage.py picture_sheet OUT.png [--family black-specks]``."""

    help = "Write a contact sheet of the rendered parts, or of one defect family."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("out", type=Path, help="file to write, .png")
        parser.add_argument("--family", help="a defect family, for example weld-line")
        parser.add_argument("--seed", type=int, default=11, help="another draw of the pictures")

    def handle(self, *args: Any, **options: Any) -> None:
        out: Path = options["out"]
        if out.suffix.lower() != ".png":
            raise CommandError(f"{out}: the sheet is written as PNG; give a name that ends in .png")
        if not out.parent.is_dir():
            raise CommandError(f"{out.parent}: no such folder; create it first")
        try:
            sheet = make_sheet(options["family"], seed=options["seed"])
        except ValueError as error:
            raise CommandError(str(error)) from error
        sheet.save(out)
        self.stdout.write(f"{out}: {sheet.width} x {sheet.height} pixels")
