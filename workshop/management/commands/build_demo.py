"""Build the invented demo workshop through the real actions; an existing book is left alone."""

from uuid import uuid4

from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils import timezone

from inventory.actions.acts import Act
from inventory.models import Bin, Delivery, Lot, Posting, Transfer
from products.actions.addresses import move_address
from products.models import Part
from products.queries.addresses import differing_address, set_address
from workshop.management.demo.story import live_through_a_year
from workshop.models import Run


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument(
            "--follow-address",
            action="store_true",
            help="in a demo that is built, print SITE_URL from now on, where it is served now",
        )

    def handle(self, **options):
        if Posting.objects.exists() or Bin.objects.exists():
            self.stdout.write("The book holds something already; it was left as it is.")
            if options["follow_address"] and differing_address():
                lead = get_user_model().objects.get(username="lead")
                act = Act(key=uuid4(), by=lead, reason="The demo is served here now.")
                moved = move_address(site_url=set_address(), act=act)
                self.stdout.write(f"What is printed from now on carries {moved.site_url}.")
            return
        with transaction.atomic():
            call_command("load_reference", stdout=self.stdout)
            floor = live_through_a_year(timezone.now())
        counted = (Delivery, Bin, Run, Part, Lot, Posting, Transfer)
        figures = ", ".join(f"{m.objects.count()} {m._meta.verbose_name_plural}" for m in counted)  # noqa: SLF001
        self.stdout.write(f"Built an invented workshop: {figures}.")
        password = floor.plan["password"]
        self.stdout.write(f"Log in as operator, lead or auditor with the password {password}.")
        pins = ", ".join(f"{p['username']} {p['pin']}" for p in floor.plan["people"] if "pin" in p)
        self.stdout.write(f"A shared tablet logs in as bench; invented PINs there: {pins}.")
