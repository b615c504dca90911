"""Files of designs as they are read."""

import json

import pytest

from products.queries.design_files import read_file

pytestmark = pytest.mark.django_db
LEAST = {"format": "design-1", "name": "Tile", "made_by": "press", "nominal_mass_mg": 1_000_000}


def test_a_file_without_faults_is_its_document():
    assert read_file(json.dumps(LEAST).encode()).document == LEAST


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"", "no JSON"),
        (b"\xff\xfe", "no JSON"),
        (b"{", "no JSON"),
        (b'{"name": "a", "name": "b"}', "twice"),
        (b'{"nominal_mass_mg": NaN}', "no JSON"),
        (b'{"nominal_mass_mg": ' + b"9" * 5000 + b"}", "no JSON"),
        (b"[" * 100_000, "nested too deeply"),
        (b" " * 200_001, "larger than 200 kB"),
        (b"[]", "Another kind"),
        (b"null", "Another kind"),
    ],
)
def test_what_is_no_file_of_a_design_is_told_for_the_whole(text, said):
    (fault,) = read_file(text).faults
    assert fault.pointer == "/"
    assert said in fault.sentence


def test_what_is_not_known_here_is_told_at_its_place():
    sent = LEAST | {"polymers": ["XYZ"], "items": [{"count": 1, "design": "Leg"}]}
    faults = read_file(json.dumps(sent)).faults
    assert [fault.pointer for fault in faults] == ["/polymers/0", "/items/0/design"]
