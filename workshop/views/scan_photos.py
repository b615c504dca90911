"""The page that reads a label from a photo; the photo is read and forgotten."""

from functools import partial

from django.http import HttpResponse
from django.shortcuts import redirect

from inventory.queries.access import may
from inventory.views.access import page, reads
from workshop.forms.scan_photos import PhotoRate, ScanPhotoForm, status_of
from workshop.queries.scans import answers_to, scan_address, spot_of


@reads
def scan_photo(request):
    if request.method != "POST":
        return photo_page(request, ScanPhotoForm(), {})
    asked = request.POST.dict()
    is_too_often = not PhotoRate().allow_request(request, None)
    form = ScanPhotoForm(request.POST, request.FILES, is_too_often=is_too_often)
    if not form.is_valid():
        return photo_page(request, form, asked)
    answers = answers_to(form.cleaned_data["photo"], spot_of(asked), partial(may, request.user))
    known = [each for each in answers if each.kind]
    if len(known) == 1:
        return redirect(scan_address(known[0].code, asked))
    if not known:
        form.add_error("photo", answers[0].sentence)
    return photo_page(request, form, asked, known)


def photo_page(request, form, asked: dict, known=()) -> HttpResponse:
    """Show the photo form again, with what several codes in a photo lead to."""
    choices = [(each, scan_address(each.code, asked)) for each in known]
    context = {"place": "none", "choices": choices, "spot": asked}
    response = page(request, "workshop/codes/photo.html", context, form)
    if form.errors:
        response.status_code = status_of(form.refusal.code)
    return response
