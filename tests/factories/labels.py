"""Labels of each kind, with invented content, and one whose every field runs far too long."""

from dataclasses import replace

from products.calculations.label_texts import LabelText, Share

SITE = "https://shop.example"
NO_BREAK = "\u00a0"


def make_label(code="7QK2M9X4VB3T", **fields):
    return LabelText(code=code, address=f"{SITE}/q/{code}", **fields)


BIN = make_label(
    kind="Bin",
    title="White flake 3",
    place_text="Shelf B2",
    mark=">PE-HD<",
    resin_number="2",
    resin_text="HDPE",
)
DELIVERY = make_label(
    "0G8B5SZ2M1VW",
    kind="Delivery",
    title="Bottle caps, sorted",
    place_text="Yard",
    mark=">PE-HD<",
    colour_name="blue, mixed",
    srgb="#2f6db5",
    strip=(Share("post-consumer", 0.82), Share("pre-consumer", 0.18)),
    mass_text=f"24.360{NO_BREAK}kg",
    date_text="12 Mar 2026",
)
LOT = make_label(
    "ABCDEFGHJKMN",
    kind="Партия",
    title="Κομμάτια πολυαιθυλενίου",
    mark=">PE-LD<",
    resin_number="4",
    resin_text="LDPE",
    colour_name="φυσικό",
    srgb="#eeeae0",
    mass_text=f"3.2{NO_BREAK}kg",
    date_text="5 Μαρ 2026",
)
SHEET = make_label(
    "Z9Y8X7W6V5T4",
    kind="Płyta",
    title="Płyta 12 mm, żółta",
    mark=">PS-HI<",
    resin_number="6",
    resin_text="PS",
    colour_name="żółty",
    srgb="#f2d024",
    mass_text=f"8.115{NO_BREAK}kg",
    date_text="31 gru 2026",
    run_text="R-0042",
    place_text="Regał 3",
)
PART = make_label(
    "30QJ6P1H8RNC",
    kind="Part",
    title="Stool, small",
    mark=">PP<",
    resin_number="5",
    resin_text="PP",
    colour_name="terrazzo",
    srgb="#c9c2b4",
    strip=(
        Share("white", 0.6, "#f4f3ee"),
        Share("grey", 0.3, "#8b8d89"),
        Share("red", 0.1, "#b8352b"),
    ),
    mass_text=f"1.842{NO_BREAK}kg",
    date_text="12 Mar 2026",
    run_text="Run R-0042",
    lines=("Made by a small workshop in the river town",),
)
BAG = make_label(
    "5D5D5D5D5D5D",
    kind="Bag",
    title="Hooks, 50 pieces",
    mark=">PA66-(GF25+MD15)FR(52)<",
    colour_name="black",
    srgb="#1b1b1b",
    mass_text=f"0.612{NO_BREAK}kg",
    date_text="12 Mar 2026",
    run_text="Run R-0042",
)
KINDS = {
    "bin": BIN,
    "part": PART,
    "bag": BAG,
    "sheet": SHEET,
    "lot": LOT,
    "delivery": DELIVERY,
}

NAME = "Żółte płyty z wieczek po śmietanie, zbierane przez szkołę podstawową w Bielsku, partia "
LONGEST = make_label(
    "WWWWWWWWWWWW",
    kind="Wielokrotnie przetworzona płyta",
    title=3 * NAME,
    place_text="Regał pod oknem, trzecia półka od góry, za prasą",
    mark=">PA66-(GF25+MD15)FR(52)+ABS+PC<",
    resin_number="7",
    resin_text="OTHER",
    colour_name="żółty jak dojrzała cytryna w pełnym słońcu",
    srgb="#f2d024",
    strip=tuple(Share(f"bardzo długa nazwa barwy {number}", 0.1) for number in range(10)),
    mass_text=f"1{NO_BREAK}042.360{NO_BREAK}kg netto",
    date_text="31 października 2026, 23:59",
    run_text="Zlecenie R-0042/2026-bis, poprawione",
    lines=(2 * NAME, "X" * 120, "krótko"),
)
LONGEST_AT_H = replace(
    LONGEST,
    address=f"https://the-record-of-a-workshop.by-a-river.example/q/{LONGEST.code}",
    level="H",
)
