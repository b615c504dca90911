"""Parts with passports, and one whose every text is as long as a form lets it be."""

from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from products.models import Part
from tests.factories.inventory import KG, make_act, make_delivery
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out
from workshop.actions.runs import close_run

LONGEST_TEXT = 300
SENTENCE = "Wipe it with lukewarm water and a soft cloth; keep it below 60 degrees. "


def make_mixed_part(by, design=None, pieces=1) -> Part:
    """Return a part of 60 % post-consumer blue, 10 % pre-consumer and 30 % virgin white PE-HD."""
    run = make_run(by, design=design)
    for origin, colour, mass_mg in (
        ("post-consumer", "blue", 6 * KG),
        ("pre-consumer", "blue", 1 * KG),
        ("virgin", "white", 3 * KG),
    ):
        lot = make_delivery(by, origin_class=origin, colour=colour).lot
        load(run, lot, by, mass_mg)
    weigh_out(run, by, "part", 10 * KG, pieces=pieces)
    close_run(run=run, act=make_act(by))
    return Part.objects.latest("pk")


def make_full_design(**fields):
    """Return a design whose texts are as long as its form allows."""
    texts = ("care", "repair", "spare_parts", "taking_apart", "not_for")
    name = "N" * 20 + " " + "m" * 59
    long = dict.fromkeys(texts, (5 * SENTENCE)[:LONGEST_TEXT])
    return DesignFactory(**(long | {"name": name} | fields))


def make_photo(edge: int = 40, colour: str = "navy") -> SimpleUploadedFile:
    """Return a square JPEG of one colour."""
    out = BytesIO()
    Image.new("RGB", (edge, edge), colour).save(out, format="JPEG")
    return SimpleUploadedFile("photo.jpg", out.getvalue(), content_type="image/jpeg")
