"""What a scanner adds, and what codes of others say."""

import pytest

from workshop.calculations.scans import foreign_kind, host_of, plain_scan


@pytest.mark.parametrize(
    "text",
    [
        "ABCDEFGHJKMN",
        " ABCDEFGHJKMN\r\n",
        "]Q1ABCDEFGHJKMN",
        "]d2ABCDEFGHJKMN",
        "\x02ABCDEFGHJKMN\x03",
    ],
)
def test_what_scanners_add_by_themselves_is_dropped(text):
    assert plain_scan(text) == "ABCDEFGHJKMN"


def test_the_prefix_and_suffix_that_are_set_are_dropped():
    assert plain_scan("%%B-07##", prefix="%%", suffix="##") == "B-07"


@pytest.mark.parametrize("text", ["%]Q1B-07", "]Q1%B-07"])
def test_the_kind_of_code_may_stand_before_or_after_the_prefix(text):
    assert plain_scan(text, prefix="%") == "B-07"


@pytest.mark.parametrize("dash", "\u2010\u2011\u2012\u2013\u2014\u2212")
def test_a_dash_of_a_keyboard_becomes_a_hyphen(dash):
    assert plain_scan(f"B{dash}07") == "B-07"


def test_a_scan_has_an_end():
    assert len(plain_scan("x" * 100_000)) == 500


@pytest.mark.parametrize("text", ["\x00", "\x1b[31m", "\u202e", "\ud800"])
def test_signs_that_are_not_shown_are_dropped(text):
    assert plain_scan(text).isprintable()


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("https://elsewhere.example/a", "address"),
        ("WWW.ELSEWHERE.EXAMPLE", "address"),
        ("WIFI:S:shed;T:WPA;P:secret;;", "wi-fi"),
        ("BEGIN:VCARD\nVERSION:3.0", "contact"),
        ("BCD\n002\n1\nSCT", "payment"),
        ("4006381333931", "article"),
        ("https://elsewhere.example/q/ABCDEFGHJKMN", "code"),
        ("ABCD EFGH JKMN", "code"),
        ("B-07", "text"),
        ("", "text"),
    ],
)
def test_a_code_of_somebody_else_is_told_by_how_it_begins(text, kind):
    assert foreign_kind(text) == kind


@pytest.mark.parametrize("text", ["http://[", "https://", "x", "http://" + "a" * 300])
def test_an_address_that_names_nobody_has_no_host(text):
    assert host_of(text) == ""


def test_an_address_is_told_by_its_host_and_not_by_what_stands_before():
    assert host_of("https://shop.example@elsewhere.example/q/B-07") == "elsewhere.example"
