"""Parts cut out of sheets: what is asked, what a plan consists of, and its figures.

Lengths are whole micrometres, so that what is cut adds up exactly; mm stand at the edges only.
A sheet lies with its length to the right (x) and its width up (y); the pattern or the direction
of pressing runs along its length. A part that may not turn keeps its own length along it.
"""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from products.calculations.sentences import Sentence

UM_PER_MM = 1000
UM3_PER_MM3 = 1_000_000_000
MOST_PARTS = 200
MOST_SHEETS = 100
MOST_MM = 10_000
LEAST_LENGTH_MM, LEAST_WIDTH_MM = 300, 100  # common practice: smaller ones are ground again
ACROSS, ALONG = "across", "along"


class CutPlanError(ValueError):
    """A question that is not worked on; `sentence` says why."""

    def __init__(self, code: str, **facts):
        self.code, self.sentence = code, Sentence(code, **facts)
        super().__init__(self.sentence)


@dataclass(frozen=True, order=True)
class Box:
    """A rectangle in um: its lower left corner, its length (x) and width (y)."""

    x_um: int
    y_um: int
    length_um: int
    width_um: int

    @property
    def area_um2(self) -> int:
        """Return the area in um2."""
        return self.length_um * self.width_um

    @property
    def right_um(self) -> int:
        """Return where it ends along x."""
        return self.x_um + self.length_um

    @property
    def top_um(self) -> int:
        """Return where it ends along y."""
        return self.y_um + self.width_um


@dataclass(frozen=True)
class Stock:
    """Sheets of one size in um, or an offcut kept as a piece; a piece was sawn already and has no margin.

    Sheets that are in the book have their codes, in the order in which they are taken.
    """

    length_um: int
    width_um: int
    count: int = 1
    is_piece: bool = False
    codes: tuple[str, ...] = ()

    @property
    def area_um2(self) -> int:
        """Return the area of one in um2."""
        return self.length_um * self.width_um


@dataclass(frozen=True)
class Part:
    """A rectangle that is wanted, finished size in um, so many times."""

    name: str
    length_um: int
    width_um: int
    count: int = 1
    may_turn: bool = False

    @property
    def area_um2(self) -> int:
        """Return the area of one in um2."""
        return self.length_um * self.width_um


@dataclass(frozen=True)
class Saw:
    """The width of the kerf and what is trimmed off every edge of a sheet, in um."""

    kerf_um: int
    margin_um: int = 0


@dataclass(frozen=True)
class Question:
    """What is asked: stock, parts, the saw, and which size of offcut is kept as a piece, in um."""

    stock: tuple[Stock, ...]
    parts: tuple[Part, ...]
    saw: Saw
    least_length_um: int = LEAST_LENGTH_MM * UM_PER_MM
    least_width_um: int = LEAST_WIDTH_MM * UM_PER_MM

    def is_worth_keeping(self, box: Box) -> bool:
        """Return whether an offcut is large enough, either way round."""
        short, long = sorted((box.length_um, box.width_um))
        least_short, least_long = sorted((self.least_length_um, self.least_width_um))
        return short >= least_short and long >= least_long


@dataclass(frozen=True)
class Placed:
    """A part where it is cut out."""

    part: Part
    box: Box
    is_turned: bool


@dataclass(frozen=True)
class Cut:
    """One straight cut from edge to edge of a piece.

    `across` runs along y and parts left from right, `along` runs along x and parts lower from
    upper. The kerf lies from `start_um` to `end_um`; a side of which nothing remains is None.
    """

    piece: Box
    axis: str
    start_um: int
    end_um: int
    low: Box | None
    high: Box | None
    is_trim: bool = False

    @property
    def length_um(self) -> int:
        """Return how far the blade goes, in um."""
        return self.piece.width_um if self.axis == ACROSS else self.piece.length_um

    @property
    def at_um(self) -> int:
        """Return how far the near side of the blade is from the left or lower edge of the piece."""
        return self.start_um - (self.piece.x_um if self.axis == ACROSS else self.piece.y_um)

    @property
    def dust_um2(self) -> int:
        """Return the area that the blade takes, in um2."""
        return self.length_um * (self.end_um - self.start_um)


@dataclass(frozen=True)
class SawnSheet:
    """One sheet: its parts, its cuts in the order of sawing, and what is left in pieces."""

    stock: Stock
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    kept: tuple[Box, ...]
    scrap: tuple[Box, ...]

    @property
    def whole(self) -> Box:
        """Return the sheet as it was before the first cut."""
        return Box(0, 0, self.stock.length_um, self.stock.width_um)


@dataclass(frozen=True)
class CutPlan:
    """The sheets in the order they are taken, and how many of which part found no place."""

    question: Question
    sheets: tuple[SawnSheet, ...]
    missing: tuple[tuple[Part, int], ...]


@dataclass(frozen=True)
class Figures:
    """What becomes of the sheets used: masses in mg that sum up to the sheets', the yield 0 to 1."""

    sheets_mg: int
    parts_mg: int
    kept_mg: int
    scrap_mg: int
    dust_mg: int
    cut_length_um: int
    yielded: Fraction


def um(length_mm) -> int:
    """Return mm as whole um.

    >>> um(3.2)
    3200
    """
    return round(Fraction(str(length_mm)) * UM_PER_MM)


def mm(length_um: int) -> str:
    """Return um as a text in mm without needless zeros.

    >>> mm(3200), mm(600000), mm(-40)
    ('3.2', '600', '-0.04')
    """
    whole, rest = divmod(abs(length_um), UM_PER_MM)
    sign = "-" if length_um < 0 else ""
    return sign + f"{whole}.{rest:03}".rstrip("0").rstrip(".")


def check_question(question: Question) -> None:
    """Raise CutPlanError for a question that is too large or has nothing in it.

    Codes: `no-parts`, `no-sheet`, `too-many-parts`, `too-many-sheets`, `margin-too-wide`.
    """
    wanted = sum(part.count for part in question.parts)
    sheets = sum(each.count for each in question.stock)
    whole = [each for each in question.stock if not each.is_piece]
    twice_um = 2 * question.saw.margin_um
    if not wanted:
        raise CutPlanError("no-parts")
    if not sheets:
        raise CutPlanError("no-sheet")
    if wanted > MOST_PARTS:
        raise CutPlanError("too-many-parts", most=MOST_PARTS)
    if sheets > MOST_SHEETS:
        raise CutPlanError("too-many-sheets", most=MOST_SHEETS)
    if any(min(each.length_um, each.width_um) <= twice_um for each in whole):
        raise CutPlanError("margin-too-wide")


def usable(stock: Stock, saw: Saw) -> Box:
    """Return the part of a sheet that parts may lie in: a whole sheet less its margin, a piece whole.

    >>> usable(Stock(100, 50), Saw(3, 10))
    Box(x_um=10, y_um=10, length_um=80, width_um=30)
    """
    off = 0 if stock.is_piece else saw.margin_um
    return Box(off, off, stock.length_um - 2 * off, stock.width_um - 2 * off)


def lies_on(part: Part, question: Question) -> bool:
    """Return whether some sheet or piece of a question is large enough for a part as it lies.

    >>> asked = Question((Stock(100, 50),), (), Saw(3, 10))
    >>> lies_on(Part("a", 80, 30), asked), lies_on(Part("a", 30, 80), asked)
    (True, False)
    """
    boxes = [usable(each, question.saw) for each in question.stock]
    return any(part.length_um <= box.length_um and part.width_um <= box.width_um for box in boxes)


def least_sheets(question: Question) -> int:
    """Return how many sheets are needed at least, going by area alone: the largest first.

    >>> least_sheets(Question((Stock(10, 10, 5),), (Part("a", 5, 5, 5),), Saw(0)))
    2
    """
    wanted = sum(part.area_um2 * part.count for part in question.parts)
    sizes = sorted(
        (
            usable(each, question.saw).area_um2
            for each in question.stock
            for _number in range(each.count)
        ),
        reverse=True,
    )
    count = 0
    while wanted > 0 and count < len(sizes):
        wanted -= sizes[count]
        count += 1
    return count


def figures(plan: CutPlan, thickness_um: int, density_g_cm3) -> Figures:
    """Return the masses of a plan: m = rho A t, and the yield: area of parts over area of sheets.

    Kerf dust is density times the kerf's volume. Scrap takes what rounding to the mg leaves.
    """
    per_um2 = Fraction(str(density_g_cm3)) * thickness_um / UM3_PER_MM3
    sheets = sum(each.stock.area_um2 for each in plan.sheets)
    parts = sum(one.box.area_um2 for each in plan.sheets for one in each.placed)
    kept = sum(box.area_um2 for each in plan.sheets for box in each.kept)
    dust = sum(cut.dust_um2 for each in plan.sheets for cut in each.cuts)
    masses = [round(area * per_um2) for area in (sheets, parts, kept, dust)]
    return Figures(
        sheets_mg=masses[0],
        parts_mg=masses[1],
        kept_mg=masses[2],
        scrap_mg=max(0, masses[0] - sum(masses[1:])),
        dust_mg=masses[3],
        cut_length_um=sum(cut.length_um for each in plan.sheets for cut in each.cuts),
        yielded=Fraction(parts, sheets) if sheets else Fraction(0),
    )


def codes_taken(plan) -> list[str]:
    """Return the code of each sheet of a plan in order, empty for one that is not in the book.

    >>> taken = Stock(10, 10, 2, codes=("A", "B"))
    >>> sheets = tuple(SawnSheet(each, (), (), (), ()) for each in (taken, Stock(5, 5), taken))
    >>> codes_taken(CutPlan(Question((taken,), (), Saw(0)), sheets, ()))
    ['A', '', 'B']
    """
    left = {}
    for each in plan.sheets:
        left.setdefault(each.stock, iter(each.stock.codes))
    return [next(left[each.stock], "") for each in plan.sheets]


def made(sheet: SawnSheet) -> list[tuple[Part, int]]:
    """Return how many of which part come out of a sheet."""
    return list(Counter(each.part for each in sheet.placed).items())
