"""Make the invented plant, tell who can sign in with what, and serve it."""

import subprocess
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.management.commands.flush import Command as Flush
from django.db import connection
from django.utils import timezone

from media_demo.plant.build import build_plant, calendar_of, is_built, is_empty
from media_demo.plant.load_people import sign_ins
from media_demo.plant.panel_rounds import open_round_on_pictures
from media_demo.plant.pictures import draw_bank, draw_first_pieces, wanted
from media_demo.plant.play import play_sittings
from training.people.models import Device, Person
from training.people.record import triggers
from training.people.services import enrol_device, invitation_for

BAR = 30
ADDRESS = "127.0.0.1:8000"
FIRST_PICTURES_S = 30
TABLET = "Demo tablet"


class Command(BaseCommand):
    help = "Migrate, load the invented plant, draw its first pictures and serve it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument("--fresh", action="store_true", help="start over, after asking")
        parser.add_argument("--yes", action="store_true", help="do not ask before starting over")
        parser.add_argument("--address", default=ADDRESS, help=f"where to serve ({ADDRESS})")
        parser.add_argument(
            "--pictures",
            choices=("background", "soon", "first", "none"),
            default="background",
            help="for half a minute and the rest behind the server; for half a minute only; "
            "all of the first hour; none",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0)
        if options["fresh"]:
            self._start_over(sure=options["yes"])
        if not is_built():
            self._build()
        moment = timezone.now()
        if options["pictures"] != "none":
            draw_first_pieces(moment, self._bar("first pieces"), tonight=True)
            todo = wanted(first_hour=True)
            if todo:
                day = calendar_of(moment).today
                draw_bank(
                    todo,
                    day=day,
                    now=timezone.now,
                    progress=self._bar("pictures"),
                    # Serving soon comes first; with nothing behind the server all are drawn here.
                    seconds=None if options["pictures"] == "first" else FIRST_PICTURES_S,
                )
            open_round_on_pictures(moment)
        self._tell(options["address"])
        if options["no_serve"]:
            return
        rest = self._draw_the_rest() if options["pictures"] == "background" else None
        try:
            call_command("runserver", options["address"], use_reloader=False)
        finally:
            if rest is not None:
                rest.terminate()

    def _start_over(self, *, sure: bool) -> None:
        if not is_built():
            if is_empty():
                return
            raise CommandError("Refused: this database holds a plant that is not the demo's.")
        if not sure and input("Delete the demo plant and all its records? [yes/no] ") != "yes":
            raise CommandError("Nothing was deleted.")
        with triggers.lifted(connection):
            Flush().run_from_argv(["manage.py", "flush", "--no-input", "--verbosity", "0"])
        for picture in Path(settings.PICTURE_DIR).rglob("*.*"):
            picture.unlink()

    def _build(self) -> None:
        if not is_empty():
            raise CommandError(
                "This database holds people already. Set DATABASE_URL or DATA_DIR to an empty place."
            )
        self.stdout.write("Loading Saltpan Lane Moulding Works, an invented plant:")
        plant = build_plant(timezone.now(), lambda line: self.stdout.write(f"  {line}"))
        played = play_sittings(plant, self._bar("sittings"))
        passed = sum(one.result == "passed" for one in played)
        certificates = sum(one.certificates for one in played)
        self.stdout.write(
            f"  {passed} of {len(played)} sittings passed, {certificates} certificates"
        )

    def _bar(self, what: str) -> Any:
        def show(done: int, total: int) -> None:
            if not total:
                return
            filled = round(BAR * done / total)
            end = "\n" if done == total else ""
            line = f"\r  {what:<14}{'━' * filled}{'─' * (BAR - filled)} {done} of {total}"
            self.stdout.write(line, ending=end)
            self.stdout.flush()

        return show

    def _tell(self, address: str) -> None:
        self.stdout.write("\nWho can sign in:")
        for entry in sign_ins():
            where = "number" if entry.where == "office" else "badge "
            self.stdout.write(
                f"  {entry.where:<7}{where} {entry.number:<7}{entry.secret:<18}"
                f"{entry.name}, {entry.roles}"
            )
        self.stdout.write(f"\nAt the office: http://{address}/office/")
        self.stdout.write(
            f"To make this browser a tablet of the floor: {self._invitation(address)}"
        )

    def _invitation(self, address: str) -> str:
        device = Device.objects.filter(name=TABLET, withdrawn_at=None).first()
        if device is None:
            quality = Person.objects.get(personnel_no="1042")
            device, _token = enrol_device(
                name=TABLET, place="this computer", enrolled_by=quality, moment=timezone.now()
            )
        return f"http://{address}/devices/join/{invitation_for(device)}/"

    def _draw_the_rest(self) -> subprocess.Popen[bytes]:
        command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "draw_bank"]
        self.stdout.write("More pictures are drawn behind the server; stop it whenever you like.\n")
        return subprocess.Popen(command)  # noqa: S603 - our own command, no input from anybody
