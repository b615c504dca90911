"""`make demo PORT=...` lets papers, codes and documents carry the address that it is served at."""

import subprocess
from pathlib import Path

import pytest
from django.core.management import call_command

from products.actions.addresses import move_address
from products.queries.addresses import printed_address
from tests.factories.inventory import BinFactory, make_act

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("given", "address"),
    [
        (["PORT=8533"], "http://localhost:8533"),
        (["HOST=0.0.0.0"], "http://localhost:8000"),
        (["HOST=tablet.example", "PORT=81"], "http://tablet.example:81"),
        (["SITE_URL=https://shop.example"], "https://shop.example"),
    ],
)
def test_make_hands_on_where_it_serves(given, address):
    done = subprocess.run(
        ["make", "-n", "-C", str(ROOT), "demo", *given],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    served = [line for line in done.stdout.splitlines() if "manage.py build_demo" in line]
    served += [line for line in done.stdout.splitlines() if "waitress-serve" in line]
    assert len(served) == 2
    assert all(f" SITE_URL={address} " in line for line in served)


@pytest.mark.django_db
def test_a_demo_that_is_there_follows_its_address_and_any_other_book_does_not(settings, lead):
    lead.username = "lead"
    lead.save()
    BinFactory()
    settings.SITE_URL = "http://localhost:8000"
    move_address(site_url=settings.SITE_URL, act=make_act(lead, "first"))
    settings.SITE_URL = "http://localhost:8533"
    call_command("build_demo")
    assert printed_address() == "http://localhost:8000"
    for _time in range(2):
        call_command("build_demo", "--follow-address")
        assert printed_address() == "http://localhost:8533"
