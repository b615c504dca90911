"""Visits: started, a piece each, labels, settled, abandoned."""

from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from inventory.actions.refusals import refusal
from inventory.api.acts import ActBody, ActView, Body, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import BinField, LotField, MassField, ScaleField, TextField
from inventory.api.names import found
from inventory.api.reads import ListView, OneView
from inventory.api.schemas import WRITE_REFUSALS
from inventory.models import Mass
from products.api.designs import DesignField
from products.api.files import PDF, FileView, file_answer, file_responses
from workshop.actions.settlements import Drawn
from workshop.actions.visits import (
    abandon_visit,
    end_piece,
    settle_visit,
    start_piece,
    start_visit,
    undo_start,
)
from workshop.actions.yields import Outcome
from workshop.api.machines import MachineField
from workshop.forms.visits import LONGEST_NAME
from workshop.models import Piece, Visit
from workshop.queries.piece_labels import piece_pdf
from workshop.queries.visits import piece_coded, progress_of, visit_list


class PieceSerializer(serializers.Serializer):
    """One piece; its code counts from its end on, and is its part's code once the masses are settled."""

    code = serializers.CharField()
    lot = serializers.CharField(source="lot.code")
    bin = serializers.CharField(source="lot.bin.name")
    started_at = serializers.DateTimeField()
    ended_at = serializers.DateTimeField(allow_null=True)


class VisitSerializer(serializers.Serializer):
    """A visit with where it stands."""

    id = serializers.IntegerField()
    number = serializers.CharField()
    design = serializers.CharField(source="design.name")
    machine = serializers.CharField(source="machine.name")
    state = serializers.CharField()
    run = serializers.CharField(source="run.number", allow_null=True)
    started_at = serializers.DateTimeField()
    ended_at = serializers.DateTimeField(allow_null=True)
    abandon_reason = serializers.CharField()
    made = serializers.IntegerField()


class WholeVisitSerializer(VisitSerializer):
    """A visit with its pieces and the median seconds of one."""

    running = PieceSerializer(source="progress.running", allow_null=True)
    pieces = PieceSerializer(source="progress.made", many=True)
    median_s = serializers.FloatField(
        source="progress.times.median_s", allow_null=True, default=None
    )


class VisitBody(ActBody):
    """A new visit."""

    design = DesignField()
    machine = MachineField()


class VisitAnswer(serializers.Serializer):
    """A visit on which an act was done."""

    id = serializers.IntegerField(source="visit.pk")
    number = serializers.CharField(source="visit.number")
    change = ChangeSerializer()


class PieceAnswer(PieceSerializer):
    """A piece on which an act was done."""

    ended_at = None
    change = ChangeSerializer()


class PieceBody(ActBody):
    """From which lot, standing in a bin, a piece is started."""

    lot = LotField()


class DrawnBody(Body):
    """What a bin gave: mass_mg, or left_mg that the scale shows afterwards; and what is not in the pieces."""

    bin = BinField()
    mass_mg = MassField(required=False, allow_null=True)
    left_mg = MassField(
        min_value=0,
        required=False,
        allow_null=True,
        help_text="Gross; the bin's tare is taken off.",
    )
    tare_mg = MassField(min_value=0, required=False, allow_null=True)
    scale = ScaleField(required=False, allow_null=True)
    offcut_mg = MassField(required=False, allow_null=True)
    offcut_bin = BinField(required=False, allow_null=True)
    purging_mg = MassField(required=False, allow_null=True)
    purging_bin = BinField(required=False, allow_null=True)
    lost_mg = MassField(min_value=0, default=0)

    def validate(self, attrs):
        if (attrs.get("mass_mg") is None) == (attrs.get("left_mg") is None):
            sentence = _("Send what was taken or what is left, one of both.")
            raise serializers.ValidationError({"mass_mg": [sentence]})
        return attrs


class SettleBody(ReasonBody):
    """What each bin used gave."""

    drawn = DrawnBody(many=True)


def drawn_of(sent: dict) -> Drawn:
    """Return what a valid body says of a bin; refuses `tare` when the scale shows less than it."""
    sides = {
        kind: Outcome(kind, Mass(sent[f"{kind}_mg"]), bin=sent.get(f"{kind}_bin"))
        for kind in ("offcut", "purging")
        if sent.get(f"{kind}_mg")
    }
    facts = {"bin": sent["bin"], "lost_mg": sent["lost_mg"]} | sides
    if sent.get("left_mg") is None:
        return Drawn(mass=Mass.weighed(sent["mass_mg"], sent.get("scale")), **facts)
    tare_mg = sent.get("tare_mg")
    tare_mg = sent["bin"].tare_mg or 0 if tare_mg is None else tare_mg
    if tare_mg > sent["left_mg"]:
        sentence = _("The scale shows less than the empty bin; weigh %(bin)s again.")
        raise refusal("tare", sentence, bin=sent["bin"].name)
    readings = 2 if tare_mg else 1
    left = Mass.weighed(sent["left_mg"] - tare_mg, sent.get("scale"), readings=readings)
    return Drawn(remaining=left, **facts)


class Visits(ActView, ListView):
    """Every visit, newest first; POST starts one."""

    act = "visit.start"
    queryset = visit_list()
    serializer_class = VisitSerializer
    body_class = VisitBody
    answer_class = VisitAnswer

    def perform(self, sent, act):
        visit = start_visit(design=sent["design"], machine=sent["machine"], act=act)
        return {"visit": visit, "change": change_of(act)}


class OneVisit(OneView):
    """One visit with its pieces."""

    queryset = visit_list()
    serializer_class = WholeVisitSerializer
    lookup_field = "id"

    def get_object(self):
        visit = found(self.get_queryset().filter(pk=self.kwargs["id"]).first())
        visit.progress = progress_of(visit, timezone.now())
        return visit


class VisitActView(ActView):
    """An act on the visit in the address."""

    act = "visit.make"
    queryset = Visit.objects.all()
    lookup_field = "id"
    body_class = ActBody
    answer_class = PieceAnswer

    def visit(self) -> Visit:
        return found(self.get_queryset().filter(pk=self.kwargs["id"]).first())


def told(piece: Piece, act) -> Piece:
    """Return a piece with the change that its answer shows."""
    piece.change = change_of(act)
    return piece


class StartPiece(VisitActView):
    """Start one person's piece."""

    body_class = PieceBody

    def perform(self, sent, act):
        return told(start_piece(visit=self.visit(), lot=sent["lot"], act=act), act)


class EndPiece(VisitActView):
    """End the piece that is being made."""

    def perform(self, sent, act):
        return told(end_piece(visit=self.visit(), act=act), act)


class UndoStart(VisitActView):
    """Take back the last start."""

    def perform(self, sent, act):
        return told(undo_start(visit=self.visit(), act=act), act)


class Settle(VisitActView):
    """Settle the masses of the whole visit."""

    act = "visit.settle"
    body_class = SettleBody
    answer_class = VisitAnswer

    def perform(self, sent, act):
        drawn = tuple(drawn_of(each) for each in sent["drawn"])
        visit = settle_visit(visit=self.visit(), drawn=drawn, act=act)
        return {"visit": visit, "change": change_of(act)}


class Abandon(VisitActView):
    """End a visit without settling it, with a reason."""

    act = "visit.abandon"
    body_class = ReasonBody
    answer_class = VisitAnswer

    def perform(self, sent, act):
        return {"visit": abandon_visit(visit=self.visit(), act=act), "change": change_of(act)}


class LabelBody(Body):
    """What stands on the label beside the code; it is kept nowhere."""

    name = TextField(max_length=LONGEST_NAME, allow_blank=True, default="")


@extend_schema(request=LabelBody, responses=file_responses(PDF, WRITE_REFUSALS))
class PieceLabel(FileView):
    """The label of a piece as a PDF."""

    act = "visit.make"
    serializer_class = LabelBody

    def post(self, request, id, code):  # noqa: A002 (the name in the address)
        body = LabelBody(data=request.data)
        body.is_valid(raise_exception=True)
        piece = piece_coded(code)
        piece = found(piece if piece and piece.visit_id == id else None)
        return file_answer(piece_pdf(piece, body.validated_data["name"]), PDF)
