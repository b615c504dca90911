"""The make-up strip: what is drawn, what is written, what is read out."""

import re
from dataclasses import dataclass

import pytest
from django.template.loader import render_to_string
from django.utils import translation

from inventory.templatetags.strips import make_up_strip

NBSP = "\u00a0"


def share(label, of_one, *, mass_mg=None, srgb="#123456"):
    return {"label": label, "share": of_one, "mass_mg": mass_mg, "srgb": srgb}


def html_of(*segments, **options):
    return render_to_string(
        "components/make_up_strip.html", make_up_strip(list(segments), **options)
    )


@dataclass(frozen=True)
class Layer:
    label: str
    share: float
    mass_mg: int
    srgb: str


@pytest.fixture
def eleven_shares():
    return [
        share(f"colour {number}", number / 66, mass_mg=number * 1_000_000)
        for number in range(1, 12)
    ]


def test_segments_fill_the_bar_in_the_given_order():
    drawn = make_up_strip([share("a", 0.25), share("b", 0.5), share("c", 0.25)])["segments"]
    assert [(segment.label, segment.left, segment.width) for segment in drawn] == [
        ("a", 0, 250),
        ("b", 250, 500),
        ("c", 750, 250),
    ]


def test_a_trace_of_something_is_drawn_wide_enough_to_see():
    drawn = make_up_strip([share("a", 0.9999), share("b", 0.0001)])["segments"]
    assert drawn[1].width == 6


def test_slivers_do_not_push_the_bar_over_its_edge():
    drawn = make_up_strip([share("a", 0.98)] + [share(str(n), 0.0001) for n in range(200)])[
        "segments"
    ]
    assert drawn[-1].left + drawn[-1].width <= 1000


def test_shares_below_one_leave_the_rest_of_the_bar_empty():
    drawn = make_up_strip([share("a", 0.25), share("b", 0.25)])["segments"]
    assert drawn[-1].left + drawn[-1].width == 500


def test_a_share_of_nothing_is_left_out():
    assert len(make_up_strip([share("a", 1), share("b", 0)])["segments"]) == 1


def test_no_segments_say_so():
    assert "Nothing in it." in html_of()


def test_objects_serve_as_well_as_dictionaries():
    row, written = make_up_strip([Layer("Natural", 1.0, 2_500_000, "#eeeeee")])["rows"][0]
    assert (row.label, written) == ("Natural", f"2.500{NBSP}kg")


def test_a_known_colour_is_drawn_in_it():
    assert 'fill="#123456"' in html_of(share("Natural", 1))


def test_an_unknown_colour_gets_a_tone_and_no_colour():
    text = html_of(share("Virgin", 1, srgb=""))
    assert 'data-tone="1"' in text
    assert "make-up-strip-ruling" in text
    assert "fill=" not in text


def test_neighbours_without_colour_differ_in_tone():
    drawn = make_up_strip([share("a", 0.5, srgb=""), share("b", 0.5, srgb="")])["segments"]
    assert [segment.tone for segment in drawn] == ["1", "2"]


def test_more_than_eight_shares_are_all_drawn(eleven_shares):
    assert len(make_up_strip(eleven_shares)["segments"]) == 11


def test_more_than_eight_shares_are_summed_up_in_the_last_line(eleven_shares):
    row, written = make_up_strip(eleven_shares)["rows"][-1]
    assert (row.label, written) == ("4 others", f"10.000{NBSP}kg")
    assert row.share == pytest.approx(10 / 66)


def test_the_lines_keep_the_largest_in_their_order(eleven_shares):
    labels = [row.label for row, _ in make_up_strip(eleven_shares, rows=3)["rows"]]
    assert labels == ["colour 10", "colour 11", "9 others"]


def test_two_equal_shares_are_written_once_each():
    labels = [row.label for row, _ in make_up_strip([share("a", 0.5), share("a", 0.5)])["rows"]]
    assert labels == ["a", "a"]


def test_the_rest_has_no_mass_when_one_of_it_has_none(eleven_shares):
    unweighed = [share("dust", 0.0001), *eleven_shares]
    assert make_up_strip(unweighed)["rows"][-1][1] == ""


def test_a_mass_below_a_gram_is_not_written_as_none_of_a_kilogram():
    rows = make_up_strip([share("a", 0.99, mass_mg=5_000_000), share("b", 0.01, mass_mg=12)])[
        "rows"
    ]
    assert rows[1][1] == f"12{NBSP}mg"


def test_the_strip_reads_out_its_shares():
    text = html_of(share("Natural", 0.6), share("Black", 0.4), label="By colour")
    assert f'aria-label="By colour: Natural 60.0{NBSP}%, Black 40.0{NBSP}%"' in text


def test_a_label_is_escaped():
    assert "<b>" not in html_of(share("<b>", 1))


def test_coordinates_keep_the_point_in_every_language():
    with translation.override("de"):
        text = html_of(share("a", 0.3333), share("b", 0.6667))
    assert re.findall(r'width="([^"]+)" height="40"', text) == ["333.3", "666.7"]
