"""Make the first person who can sign in at the office, on a plant that has nobody yet."""

import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils import timezone

from training.people.models import Person, Role
from training.people.services import create_person


class Command(BaseCommand):
    help = "Make the first administrator; further people come from imports or the pages."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("personnel_no")
        parser.add_argument("name")
        parser.add_argument(
            "--password-from-stdin", action="store_true", help="read the password from one line"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if Person.objects.filter(groups__name=Role.ADMINISTRATOR).exists():
            raise CommandError("There is an administrator already: sign in and add people there.")
        password = input() if options["password_from_stdin"] else getpass.getpass("Password: ")
        today = timezone.localdate()
        try:
            with transaction.atomic():
                person = create_person(
                    personnel_no=options["personnel_no"],
                    name=options["name"],
                    roles=[Role.ADMINISTRATOR, Role.QUALITY],
                    hired=today,
                    today=today,
                )
                validate_password(password, person)
                person.set_password(password)
                person.save(update_fields=["password"])
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        self.stdout.write(f"{person.name} signs in at /office/ with {person.personnel_no}.")
