"""Photos of labels and frames of a camera: read for their codes and forgotten."""

from functools import partial

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response

from inventory.api.access import ApiView
from inventory.queries.access import may
from workshop.api.codes import ScanAnswerSerializer
from workshop.api.errors import answer
from workshop.forms.scan_photos import (
    FrameRate,
    PhotoRate,
    ScanFrameForm,
    ScanPhotoForm,
    status_of,
)
from workshop.queries.scans import SPOT_NAMES, answers_to, spot_of


class ScanPhotoBody(serializers.Serializer):
    """A photo, and where it was taken."""

    photo = serializers.FileField(help_text="JPEG, PNG or WebP.")
    run = serializers.CharField(required=False)
    stage = serializers.CharField(required=False)
    kind = serializers.CharField(required=False)
    round = serializers.CharField(required=False)
    task = serializers.CharField(required=False)


class ScanPhotoAnswer(serializers.Serializer):
    """What the codes in a photo mean, the workshop's own first."""

    codes = ScanAnswerSerializer(many=True)


class ScanPhotos(ApiView):
    """Read the codes in a photo. Refused when there are none, or none of the workshop's."""

    throttle_classes = [PhotoRate]
    parser_classes = [MultiPartParser]
    body_class = ScanPhotoBody
    answer_class = ScanPhotoAnswer
    answer_status = 200
    form_class = ScanPhotoForm
    is_live = False
    http_method_names = ["post"]

    def post(self, request):
        form = self.form_class(request.data, request.FILES)
        if not form.is_valid():
            refusal = form.refusal
            sentence = refusal.messages[0]
            fields = {"photo": [sentence]}
            return answer(refusal.code, sentence, status_of(refusal.code), fields)
        spot = spot_of({name: str(request.data.get(name, "")) for name in SPOT_NAMES})
        found = answers_to(form.cleaned_data["photo"], spot, partial(may, request.user))
        if not self.is_live and not found[0].kind:
            return answer("not-ours", found[0].sentence, 422, {"photo": [found[0].sentence]})
        return Response(self.answer_class({"codes": found}).data)


class ScanFrames(ScanPhotos):
    """Read one frame of a camera, at most a megabyte; most frames show no code, which is no refusal."""

    throttle_classes = [FrameRate]
    form_class = ScanFrameForm
    is_live = True
