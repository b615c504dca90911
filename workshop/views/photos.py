"""Photos of a run: adding one, and showing it to staff."""

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _

from inventory.views.access import allows, attempt, page, reads
from workshop.actions.photos import add_photo
from workshop.forms.photos import PhotoForm
from workshop.models import Photo
from workshop.views.makings import whole_page
from workshop.views.runs import named_run


@allows("run.make")
def add(request, code):
    run = named_run(code)
    if request.method != "POST":
        return redirect("workshop:run-make", run.code)
    form = PhotoForm(request.POST, request.FILES)
    photo = form.is_valid() and attempt(form, add_photo, run=run, **taken(form, request.user))
    if photo:
        messages.success(request, _("The photo is kept with the run."))
        return redirect("workshop:run-make", run.code)
    return page(request, "workshop/makings/detail.html", whole_page(request, run, form), form)


def taken(form: PhotoForm, by) -> dict:
    """Return the other arguments of the action."""
    sent = form.cleaned_data
    return {"picture": sent["picture"], "note": sent["note"], "act": form.act(by)}


@reads
def show(request, code, uuid):
    photo = get_object_or_404(Photo, run=named_run(code), uuid=uuid)
    if not photo.picture.storage.exists(photo.picture.name):
        raise Http404
    response = FileResponse(photo.picture.open("rb"), content_type="image/jpeg")
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=86400"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response
