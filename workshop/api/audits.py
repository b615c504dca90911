"""Audit files: asking, the list, and each file as its paper and its data."""

from django.http import HttpResponse, StreamingHttpResponse
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django_filters.rest_framework import FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from inventory.api.acts import ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.checkpoints import CheckpointSerializer
from inventory.api.fields import DayField, TextField
from inventory.api.names import found
from inventory.api.reads import ListView, OneView
from products.api.files import PDF, FileView, file_answer, file_responses
from workshop.actions.audits import make_audit_file
from workshop.models import AuditFile
from workshop.queries.audit_questions import Question, subject_called
from workshop.queries.audits import audit_list, audit_paper, audit_zip

ZIP = "application/zip"
Kind = AuditFile.Kind


class AuditSerializer(serializers.Serializer):
    """An audit file; its paper is at `paper`, its data with proofs at `data`."""

    uuid = serializers.UUIDField()
    number = serializers.CharField()
    kind = serializers.CharField()
    subject = serializers.CharField()
    since = serializers.DateField(allow_null=True)
    until = serializers.DateField(allow_null=True)
    question = serializers.CharField()
    checkpoint = CheckpointSerializer()
    made_at = serializers.DateTimeField()
    by = serializers.CharField(source="by.username")
    reason = serializers.CharField()
    paper = serializers.SerializerMethodField()
    data = serializers.SerializerMethodField()

    def get_paper(self, made) -> str:
        return reverse("api:audit-paper", args=[made.uuid])

    def get_data(self, made) -> str:
        return reverse("api:audit-data", args=[made.uuid])


class AuditAnswer(AuditSerializer):
    """The audit file that was made, and the act that did it."""

    change = ChangeSerializer()


class AuditBody(ReasonBody):
    """What is asked: a thing by its code, number or name; or the days of a period."""

    kind = serializers.ChoiceField(choices=Kind.choices)
    subject = TextField(required=False, allow_blank=True, max_length=200, default="")
    since = DayField(required=False, allow_null=True, default=None)
    until = DayField(required=False, allow_null=True, default=None)

    def validate(self, attrs):
        kind, text = attrs["kind"], attrs["subject"].strip()
        named = (kind, "") if kind == Kind.PERIOD else text and subject_called(text, kind)
        if not named:
            sentence = _("Nothing here is called “%(text)s”.") % {"text": text[:60]}
            raise serializers.ValidationError({"subject": [sentence]})
        attrs["question"] = Question(*named, attrs["since"], attrs["until"])
        return attrs


class AuditFilters(FilterSet):
    """Narrows audit files."""

    class Meta:
        model = AuditFile
        fields = ("kind", "subject")


class Audits(ActView, ListView):
    """Every audit file, newest first; POST makes one."""

    act = "audit.make"
    queryset = audit_list()
    serializer_class = AuditSerializer
    filterset_class = AuditFilters
    search_fields = ("question", "subject", "reason")
    ordering_fields = ("made_at",)
    body_class = AuditBody
    answer_class = AuditAnswer

    def perform(self, sent, act):
        made = make_audit_file(question=sent["question"], act=act)
        made.change = change_of(act)
        return made


def audit_with(rows, uuid) -> AuditFile:
    """Return the audit file of a UUID, or answer 404."""
    return found(rows.filter(uuid=uuid).first())


class OneAudit(OneView):
    """One audit file."""

    queryset = audit_list()
    serializer_class = AuditSerializer
    lookup_field = "uuid"

    def get_object(self):
        return audit_with(self.get_queryset(), self.kwargs["uuid"])


@extend_schema(responses=file_responses(PDF))
class AuditPaper(FileView):
    """An audit file as a PDF; the same bytes each time."""

    queryset = audit_list()

    def get(self, request, uuid) -> HttpResponse:
        return file_answer(audit_paper(audit_with(self.get_queryset(), uuid)), PDF)


@extend_schema(responses=file_responses(ZIP))
class AuditData(FileView):
    """An audit file as a ZIP of JSON, tables and proofs, with the script that checks it; of any size."""

    queryset = audit_list()

    def get(self, request, uuid) -> StreamingHttpResponse:
        chunks = audit_zip(audit_with(self.get_queryset(), uuid))
        response = StreamingHttpResponse(chunks, content_type=ZIP)
        response["X-Content-Type-Options"] = "nosniff"
        return response
