"""Photos are added to a run."""

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of
from inventory.actions.refusals import refusal
from workshop.actions.moments import add_moment, making_run
from workshop.models import Photo, Run

MOST_PHOTOS = 100


@transaction.atomic
def add_photo(*, run: Run, picture: UploadedFile, act: Act, note: str = "") -> Photo:
    """Keep a photo of a run; the picture must have been drawn anew before.

    Refuses `photos` when the run has a hundred, `run-closed`, `too-early`.
    A repeated UUID changes nothing.
    """
    picture.seek(0)
    request = act.request("add photo", run=run, picture=picture.read(), note=note)
    picture.seek(0)
    if done := earlier(act, request):
        return outcome_of(done, Photo)
    run = making_run(run, act)
    if run.photos.count() >= MOST_PHOTOS:
        raise refusal("photos", _("A run keeps at most a hundred photos; this one has them."))
    return add_moment(Photo, run=run, act=act, request=request, picture=picture, note=note)
