"""Where a lot came from, where it went, and what it consists of."""

from rest_framework import serializers
from rest_framework.response import Response

from inventory.api.acts import Body
from inventory.api.fields import MomentField
from inventory.api.reads import OneView
from inventory.calculations.melt_passes import PassFigures
from inventory.models import Lot
from inventory.queries.foreign_origins import Abroad, elsewhere
from inventory.queries.pasts import Past, lot_then
from inventory.queries.traces import batches, make_up_of, origins_of, uses_of


class OriginSerializer(serializers.Serializer):
    """A lot that came from outside, with its share."""

    lot = serializers.CharField()
    share = serializers.FloatField()
    mass_mg = serializers.IntegerField()
    kind = serializers.CharField()
    source = serializers.CharField(allow_null=True)
    origin_class = serializers.CharField()
    polymer = serializers.CharField(allow_null=True)
    colour = serializers.CharField()


class AbroadSerializer(serializers.Serializer):
    """A share of it that began in another workshop, as the document of a delivery told."""

    delivery = serializers.CharField()
    foreign_id = serializers.CharField()
    share = serializers.FloatField()
    origin_class = serializers.CharField()
    polymer = serializers.CharField(allow_null=True)
    colour = serializers.CharField()
    source = serializers.CharField()


class OriginsSerializer(serializers.Serializer):
    """What a lot took, by the lots that came from outside; shares sum to 1."""

    lot = serializers.CharField()
    total_mg = serializers.IntegerField()
    origins = OriginSerializer(many=True)
    abroad = AbroadSerializer(many=True)


class UseSerializer(serializers.Serializer):
    """A lot that holds some of it now, or with null a fate outside."""

    lot = serializers.CharField(allow_null=True)
    share = serializers.FloatField()
    mass_mg = serializers.IntegerField()
    fate = serializers.CharField()
    kind = serializers.CharField(allow_null=True)
    bin = serializers.CharField(allow_null=True)


class UsesSerializer(serializers.Serializer):
    """Where what a lot took is now; shares sum to 1."""

    lot = serializers.CharField()
    total_mg = serializers.IntegerField()
    uses = UseSerializer(many=True)


class SegmentSerializer(serializers.Serializer):
    """One segment of a make-up."""

    label = serializers.CharField()
    share = serializers.FloatField()
    mass_mg = serializers.IntegerField()
    srgb = serializers.CharField()


class TailSerializer(serializers.Serializer):
    """Which share was melted so many times or more."""

    times = serializers.IntegerField()
    share = serializers.FloatField()


class PassFiguresSerializer(serializers.Serializer):
    """How often it was melted here; `is_open`: some of it `most` times or more, and the mean is a lower bound."""

    mean = serializers.FloatField()
    most = serializers.IntegerField()
    is_open = serializers.BooleanField()
    from_times = TailSerializer(many=True)


class MakeUpSerializer(serializers.Serializer):
    """What a lot consists of, cut four ways; `custody` is the word of ISO 22095, empty when unknown."""

    lot = serializers.CharField()
    total_mg = serializers.IntegerField()
    by_origin = SegmentSerializer(many=True)
    by_colour = SegmentSerializer(many=True)
    by_polymer = SegmentSerializer(many=True)
    by_passes = SegmentSerializer(many=True)
    passes = PassFiguresSerializer()
    custody = serializers.CharField(allow_blank=True)


ORIGIN_FACTS = {
    "lot": "code",
    "kind": "kind",
    "source": "delivery__source__name",
    "origin_class": "origin_class",
    "polymer": "polymer__symbol",
    "colour": "colour__name",
}
USE_FACTS = {"lot": "code", "kind": "kind", "bin": "bin__name"}
NOWHERE = dict.fromkeys(USE_FACTS)
MOST_ABROAD = 10_000


def facts_of(keys, facts: dict) -> dict[int, dict]:
    """Return some facts of lots by primary key: thousands of them, and so no models of them."""
    found = {}
    for some in batches(keys):
        for pk, *told in Lot.objects.filter(pk__in=some).values_list("pk", *facts.values()):
            found[pk] = dict(zip(facts, told, strict=True))
    return found


def abroad_row(part: Abroad) -> dict:
    """Return a part that began elsewhere in plain values."""
    origin = part.origin
    return {
        "delivery": part.lot.code,
        "share": part.share,
        "polymer": origin.polymer.symbol if origin.polymer else None,
        **{
            name: getattr(origin, name)
            for name in ("foreign_id", "origin_class", "colour", "source")
        },
    }


class PastQuery(Body):
    """Of which moment a trace tells; what is left out is now."""

    known_at = MomentField(required=False, help_text="As the book knew it then.")
    happened_at = MomentField(required=False, help_text="As it was in the workshop then.")


class TraceView(OneView):
    """A question about the lot in the address."""

    queryset = Lot.objects.all()

    def get(self, request, *args, **kwargs):
        lot, asked = self.get_object(), PastQuery(data=request.query_params)
        asked.is_valid(raise_exception=True)
        past = Past(**asked.validated_data)
        total_mg = lot_then(lot, past).in_mg if past else lot.in_mg
        return Response({"lot": lot.code, "total_mg": total_mg} | self.answer(lot, past))

    def answer(self, lot: Lot, past: Past) -> dict:
        """Return the answer's own part in plain values."""
        raise NotImplementedError


class Origins(TraceView):
    """Which lots from outside a lot consists of, one row each, largest share first."""

    serializer_class = OriginsSerializer

    def answer(self, lot, past):
        rows = origins_of(lot, past=past)
        facts = facts_of((row.pk for row in rows), ORIGIN_FACTS)
        shares = {row.pk: row.share for row in rows}
        return {
            "origins": [
                facts[row.pk] | {"share": row.share, "mass_mg": row.mass_mg} for row in rows
            ],
            "abroad": [abroad_row(each) for each in elsewhere(shares, most=MOST_ABROAD).parts],
        }


class Uses(TraceView):
    """Who holds some of a lot now, and what left the workshop, largest first."""

    serializer_class = UsesSerializer

    def answer(self, lot, past):
        rows = uses_of(lot, past=past)
        facts = facts_of((row.pk for row in rows if row.pk), USE_FACTS)
        return {
            "uses": [
                {"share": row.share, "mass_mg": row.mass_mg, "fate": row.fate}
                | facts.get(row.pk, NOWHERE)
                for row in rows
            ]
        }


class MakeUp(TraceView):
    """The make-up of a lot by origin class, colour, polymer and melt passes, and how it was kept."""

    serializer_class = MakeUpSerializer

    def answer(self, lot, past):
        found = make_up_of(lot, past=past)
        strips = {name: strip for name, strip in vars(found).items() if name.startswith("by_")}
        told = {name: [vars(segment) for segment in strip] for name, strip in strips.items()}
        return told | {"passes": passes_told(found.passes), "custody": found.custody}


def passes_told(figures: PassFigures) -> dict:
    """Return figures of melt passes as the API tells them."""
    tails = [{"times": times, "share": share} for times, share in figures.from_times]
    return vars(figures) | {"from_times": tails}
