"""Add a login with a role, or a bench: manage.py add_person NAME ROLE (asks for the password)."""

from getpass import getpass

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from inventory.queries.access import BENCH, ROLES
from workshop.actions.people import add_bench, add_person


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("username")
        parser.add_argument("role", choices=(*ROLES, BENCH))

    def handle(self, *, username, role, **options):
        try:
            if role == BENCH:
                add_bench(username=username, password=getpass("Password: "))
            else:
                add_person(username=username, role=role, password=getpass("Password: "))
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from None
        self.stdout.write(f"{username} may now log in as {role}.")
