"""The frame of the import commands: files, languages, a dry run, every problem on a line."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, override

from training.people.models import Person
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, SAME, Import, Outcome, Plan, SheetFile
from training.people.sheets.running import (
    ImportRefusedError,
    check_files,
    details_in_words,
    to_write,
    write_checked,
)


class ImportCommand(BaseCommand):
    """Import one kind of sheet; a subclass says which in `what`."""

    what: Import

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="CSV or XLSX, with a header row")
        for field in self.what.further:
            parser.add_argument(f"--{field}", type=Path, help=f"a CSV with the {field}")
        parser.add_argument("--dry-run", action="store_true", help="say what would change, no more")
        parser.add_argument("--language", choices=["en", "es"], default="en")
        parser.add_argument(
            "--days",
            choices=[order.value for order in DayOrder],
            default=DayOrder.BY_COLUMN.value,
            help="how days such as 03/04/2026 are meant; by default each column must tell",
        )
        parser.add_argument("--by", help="personnel number of who imports, for the record")

    def handle(self, *args: Any, **options: Any) -> None:
        with override(options["language"]):
            self._run(options)

    def _run(self, options: Mapping[str, Any]) -> None:
        moment = timezone.now()
        today = timezone.localdate(moment)
        by = _importer(options["by"])
        files = {MAIN: _read(options["file"])}
        for field in self.what.further:
            if options[field]:
                files[field] = _read(options[field])
        plan = check_files(self.what, files, order=DayOrder(options["days"]), by=by, today=today)
        self._say_plan(plan)
        if plan.problems:
            raise CommandError(
                ngettext(
                    "%(count)s problem; nothing was written.",
                    "%(count)s problems; nothing was written.",
                    len(plan.problems),
                )
                % {"count": len(plan.problems)}
            )
        if options["dry_run"] or not to_write(plan):
            self.stdout.write(_("Nothing was written."))
            return
        try:
            outcome = write_checked(self.what, plan, by=by, moment=moment, today=today)
        except ImportRefusedError as error:
            raise CommandError(str(error)) from error
        self._say_outcome(outcome)

    def _say_plan(self, plan: Plan[Any]) -> None:
        for problem in plan.problems:
            self.stderr.write(str(problem))
        for note in plan.notes:
            self.stdout.write(str(note))
        for change in plan.changes:
            if change.status != SAME and not plan.problems:
                said = details_in_words(change.details)
                self.stdout.write(f"{change.number} {change.name}: {change.status_word}. {said}")
        self.stdout.write(plan.summary())

    def _say_outcome(self, outcome: Outcome) -> None:
        self.stdout.write(_("Written: %(summary)s.") % {"summary": outcome.summary})
        if outcome.pins:
            self.stdout.write(_("Initial PINs, shown this once; each is changed at first sign-in:"))
        for pin in outcome.pins:
            self.stdout.write(f"{pin.personnel_no}  {pin.badge or '–'}  {pin.name}  {pin.pin}")


def _read(path: Path) -> SheetFile:
    try:
        return SheetFile(path.name, path.read_bytes())
    except OSError as error:
        raise CommandError(
            _("The file %(path)s cannot be read: %(why)s")
            % {"path": path, "why": error.strerror or error}
        ) from error


def _importer(number: str | None) -> Person | None:
    if not number:
        return None
    person = Person.objects.filter(personnel_no=number).first()
    if person is None:
        raise CommandError(_("There is nobody with the personnel number %(no)s.") % {"no": number})
    return person
