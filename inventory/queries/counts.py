"""Questions about counts: the book against a scale, what looks like a slip, and who counted when."""

from dataclasses import dataclass
from datetime import UTC, datetime

from django.db.models import DateTimeField, F, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from inventory.calculations.counts import Circumstances, Comparison, compare, surprise
from inventory.models import Bin, Count, Lot, Mass, Reading, Scale
from inventory.queries.lots import book_mass, open_lot_in
from inventory.queries.statements import kept

NEVER = datetime(2000, 1, 1, tzinfo=UTC)
RELATED = ("bin", "by", "scale", "posting__reversed_by", "stop__round")
QUESTIONS = {
    "unit": _("This is about a thousand times off: are these grams typed as kilograms?"),
    "digit": _("This is about ten times off: is there a digit or a decimal point too many?"),
    "tare": _("The difference is about the bin's tare: was the bin on the scale, and not tared?"),
    "scale": _("This is more than the scale carries: is it the right scale and unit?"),
    "room": _("This is more than the bin may hold: is it the right bin?"),
    "empty": _("The book has much more than nothing here: is the bin really empty?"),
    "far": _("This is far from the book: is it the right bin, and was it weighed alone?"),
}


@dataclass(frozen=True)
class Weighing:
    """One reading of a bin beside its book, before anybody accepts it."""

    bin: Bin
    fill: Lot | None
    book: Mass
    reading: Reading
    net: Mass
    comparison: Comparison
    surprise: str

    @property
    def question(self):
        """The sentence that asks a surprising reading back, or an empty text."""
        return QUESTIONS.get(self.surprise, "")

    @property
    def is_more(self) -> bool:
        """Whether the scale shows more than the book says."""
        return self.comparison.difference_mg > 0

    @property
    def taken_off_mg(self) -> int:
        """The tare taken off, in mg."""
        return self.reading.taken_off_mg(self.bin)

    @property
    def tolerance_mg(self) -> int:
        """How far book and scale may lie apart and still agree, down to two digits: for people."""
        whole = int(self.comparison.expanded_mg)
        step = 10 ** max(0, len(str(whole)) - 2)
        return whole // step * step

    @property
    def changed_mg(self) -> int:
        """The mg that accepting books in or out."""
        return 0 if self.comparison.verdict == "agrees" else abs(self.comparison.difference_mg)


def weigh(bin: Bin, fill: Lot | None, reading: Reading) -> Weighing:
    """Hold a reading against what a bin holds by the book."""
    book = book_mass(fill) if fill else Mass(0)
    net = reading.net(bin)
    both = [mass.uncertainty_ug / 1000 for mass in (book, net)]
    comparison = compare(book_mg=book.mg, net_mg=net.mg, uncertainties_mg=both)
    around = Circumstances(
        shown_mg=reading.shown_mg,
        taken_off_mg=reading.taken_off_mg(bin),
        tare_mg=bin.tare_mg,
        room_mg=bin.capacity_mg,
        scale_mg=reading.scale.capacity_mg if reading.scale else None,
    )
    return Weighing(bin, fill, book, reading, net, comparison, surprise(comparison, around))


def weigh_now(bin: Bin, reading: Reading) -> Weighing:
    """Hold a reading against what a bin holds by the book at this moment."""
    return weigh(bin, open_lot_in(bin), reading)


def last_contents(bin: Bin) -> Lot | None:
    """Return what a bin held last, if it is empty and ever held anything."""
    if open_lot_in(bin):
        return None
    return bin.lots.taken().select_related("polymer", "colour", "bin").order_by("-pk").first()


def count_list() -> QuerySet[Count]:
    """Return every count, newest first, with all that a list row prints."""
    return Count.objects.select_related(*RELATED)


def last_count(bin: Bin) -> Count | None:
    """Return the newest count of a bin, also one that was reversed since."""
    return next(iter(counts_of(bin.pk)), None)


@kept
def counts_of(bin: int) -> QuerySet[Count]:
    """The newest count of a bin with who counted and whether it was reversed."""
    return Count.objects.select_related("by", "posting__reversed_by").filter(bin=bin)[:1]


def with_counted_at(bins: QuerySet[Bin]) -> QuerySet[Bin]:
    """Annotate when each bin was last counted as `counted_at`, and a time to sort by."""
    counts = Count.objects.standing().filter(bin=OuterRef("pk")).order_by("-happened_at")
    newest = Subquery(counts.values("happened_at")[:1], output_field=DateTimeField())
    never = Value(NEVER, output_field=DateTimeField())
    return bins.annotate(counted_at=newest, counted_since=Coalesce(F("counted_at"), never))


def usual_scale(user) -> Scale | None:
    """Return the scale that somebody counted with last, else the only one in use."""
    last = Count.objects.filter(by=user, scale__is_in_use=True).select_related("scale").first()
    if last:
        return last.scale
    scales = list(Scale.objects.filter(is_in_use=True)[:2])
    return scales[0] if len(scales) == 1 else None
