"""Photos of a run: added as a form with a file, listed, shown."""

from django.core.exceptions import ValidationError as Refused
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from inventory.api.acts import ActBody
from inventory.api.fields import TextField
from inventory.api.names import found
from inventory.forms.photos import redrawn
from products.api.files import FileView, file_answer, file_responses
from workshop.actions.photos import add_photo
from workshop.api.moments import MomentAnswer, MomentSerializer, MomentsView, told
from workshop.api.runs import run_named
from workshop.queries.photos import photos_of
from workshop.queries.runs import run_list

JPEG = "image/jpeg"


class PhotoSerializer(MomentSerializer):
    """A photo; its picture has an address of its own."""

    note = serializers.CharField()


class PhotoAnswer(PhotoSerializer, MomentAnswer):
    """A photo that was added."""


class PictureField(serializers.FileField):
    """A photo, drawn anew so that nothing but the picture is kept."""

    def to_internal_value(self, data):
        upload = super().to_internal_value(data)
        try:
            return redrawn(upload)
        except Refused as refusal:
            raise serializers.ValidationError(refusal.message, code=refusal.code) from None


class PhotoBody(ActBody):
    """A photo with a few words."""

    picture = PictureField()
    note = TextField(max_length=120, allow_blank=True, default="")


class Photos(MomentsView):
    """The photos of a run, the newest first; POST adds one, as multipart/form-data."""

    parser_classes = [MultiPartParser]
    serializer_class = PhotoSerializer
    body_class = PhotoBody
    answer_class = PhotoAnswer

    def rows(self, run):
        return photos_of(run)

    def perform(self, sent, act):
        row = add_photo(run=self.run(), picture=sent["picture"], note=sent["note"], act=act)
        return told(row, act)


class PhotoPicture(FileView):
    """The picture of a photo, as JPEG."""

    queryset = run_list()
    lookup_field = "code"
    http_method_names = ["get", "head"]

    @extend_schema(responses=file_responses(JPEG))
    def get(self, request, code, uuid):
        run = found(run_named(self.get_queryset(), code))
        photo = found(run.photos.filter(uuid=uuid).first())
        return file_answer(photo.picture.read(), JPEG)
